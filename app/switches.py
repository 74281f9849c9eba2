"""Which switches are on, and how far: a view state, not part of the plan, so switching is never an undo step."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject, Signal

from core.plan import Combination, Level, Plan

__all__ = ["Switches"]


class Switches(QObject):
    """The level (0 off, 1 full) of every switch group of the current plan."""

    changed = Signal()

    def __init__(self, plan: Plan, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._levels = {group.letter: 1.0 for group in plan.groups}
        self._dimmed: dict[str, float] = {}

    @property
    def levels(self) -> Mapping[str, float]:
        """Level by group letter."""
        return self._levels

    def follow(self, plan: Plan) -> None:
        """Take over the groups of a changed plan: new ones are on, vanished ones are forgotten."""
        levels = {group.letter: self._levels.get(group.letter, 1.0) for group in plan.groups}
        if levels != self._levels:
            self._levels = levels
            self.changed.emit()

    def set_level(self, letter: str, share: float) -> None:
        """Put one group at a level."""
        if letter in self._levels and self._levels[letter] != share:
            self._levels = {**self._levels, letter: min(1.0, max(0.0, share))}
            self.changed.emit()

    def toggle(self, letter: str) -> None:
        """Flip one switch; a dimmer comes back where it was."""
        now = self._levels.get(letter, 0.0)
        if now > 0.0:
            self._dimmed[letter] = now
        self.set_level(letter, 0.0 if now > 0.0 else self._dimmed.get(letter, 1.0))

    def take(self, combination: Combination) -> None:
        """Set every switch as in a kept combination."""
        shares = combination.shares()
        levels = {letter: shares.get(letter, 0.0) for letter in self._levels}
        if levels != self._levels:
            self._levels = levels
            self.changed.emit()

    def keep(self, name: str) -> Combination:
        """Return the present setting under a name."""
        return Combination(name, tuple(Level(g, s) for g, s in self._levels.items() if s > 0.0))
