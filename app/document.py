"""The one owner of the current Plan: what is shown, what is selected, and how to go back.

Data flows one way. A tool or panel makes a new Plan and hands it to `apply`; everybody else listens to `changed`. While
a gesture lasts, `preview` shows plans that are not recorded; `apply` ends the gesture as one step, `cancel` returns to
the plan from before it. Undo holds immutable values, so going back gives exactly the plan that was there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from PySide6.QtCore import QObject, Signal

from core.plan import Plan

__all__ = ["Document", "Step"]


@dataclass(frozen=True, slots=True)
class Step:
    """One entry of the undo stack: its name in the menu, and plan and selection before and after."""

    text: str
    before: Plan
    after: Plan
    selected_before: frozenset[str]
    selected_after: frozenset[str]


class Document(QObject):
    """Holds the Plan, the selection (ids) and the undo stack."""

    changed = Signal(object, object)  # old Plan, new Plan; also during a gesture
    selection_changed = Signal(object)  # frozenset of ids
    history_changed = Signal()  # undo, redo or saved state moved

    def __init__(self, plan: Plan, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._plan = plan
        self._settled = plan
        self._saved = plan
        self._selection: frozenset[str] = frozenset()
        self._done: list[Step] = []
        self._undone: list[Step] = []

    @property
    def plan(self) -> Plan:
        """The plan that is shown now, a gesture's preview included."""
        return self._plan

    @property
    def settled_plan(self) -> Plan:
        """The plan without a running gesture: what is saved and autosaved."""
        return self._settled

    @property
    def in_gesture(self) -> bool:
        """Whether a preview is showing."""
        return self._plan is not self._settled

    @property
    def is_dirty(self) -> bool:
        """Whether there is work that is not in the file."""
        return self._settled is not self._saved and self._settled != self._saved

    @property
    def undo_text(self) -> str | None:
        """Name of the step that undo would take back."""
        return self._done[-1].text if self._done else None

    @property
    def redo_text(self) -> str | None:
        """Name of the step that redo would do again."""
        return self._undone[-1].text if self._undone else None

    @property
    def selection(self) -> frozenset[str]:
        """Ids of what is selected."""
        return self._selection

    def select(self, ids: Iterable[str]) -> None:
        """Select exactly these ids."""
        chosen = frozenset(ids)
        if chosen != self._selection:
            self._selection = chosen
            self.selection_changed.emit(chosen)

    def preview(self, plan: Plan) -> None:
        """Show a plan while a gesture lasts, without recording it."""
        self._show(plan)

    def cancel(self) -> None:
        """End a gesture and return to the plan from before it."""
        self._show(self._settled)

    def apply(self, text: str, plan: Plan, select: Iterable[str] | None = None) -> None:
        """Make a plan the current one, as one step of undo called ``text``; a plan without change is no step."""
        before, chosen = self._settled, self._selection
        if select is not None:
            chosen = frozenset(select)
        if plan == before:
            self.cancel()
            if select is not None:
                self.select(chosen)
            return
        self._done.append(Step(text, before, plan, self._selection, chosen))
        self._undone.clear()
        self._settled = plan
        self._show(plan)
        self.select(chosen)
        self.history_changed.emit()

    def restate(self, change: Callable[[Plan], Plan]) -> None:
        """Change how the plan is written, now and in every step of undo, so that going back does not bring it back.

        It is no step of undo, and the plan counts as edited only if it did before; the next save takes it along.
        """
        self.cancel()
        known: dict[int, Plan] = {}
        whole = [self._settled, self._saved, *(p for s in (*self._done, *self._undone) for p in (s.before, s.after))]
        for plan in whole:
            if id(plan) not in known:
                known[id(plan)] = change(plan)
        for steps in (self._done, self._undone):
            steps[:] = [replace(s, before=known[id(s.before)], after=known[id(s.after)]) for s in steps]
        self._settled, self._saved = known[id(self._settled)], known[id(self._saved)]
        self._show(self._settled)
        self.history_changed.emit()

    def undo(self) -> None:
        """Take back the last step."""
        self.cancel()
        if self._done:
            step = self._done.pop()
            self._undone.append(step)
            self._go_to(step.before, step.selected_before)

    def redo(self) -> None:
        """Do the last undone step again."""
        self.cancel()
        if self._undone:
            step = self._undone.pop()
            self._done.append(step)
            self._go_to(step.after, step.selected_after)

    def mark_saved(self, plan: Plan) -> None:
        """Remember which plan is in the file."""
        self._saved = plan
        self.history_changed.emit()

    def replace(self, plan: Plan, saved: bool = True) -> None:
        """Open another plan: the undo stack starts anew."""
        self._done.clear()
        self._undone.clear()
        self._settled = plan
        if saved:
            self._saved = plan
        self.select(())
        self._show(plan)
        self.history_changed.emit()

    def _go_to(self, plan: Plan, selection: frozenset[str]) -> None:
        self._settled = plan
        self._show(plan)
        self.select(selection)
        self.history_changed.emit()

    def _show(self, plan: Plan) -> None:
        old, self._plan = self._plan, plan
        if old is not plan:
            self.changed.emit(old, plan)
