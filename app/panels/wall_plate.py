"""The wall of the shop along the window's foot: the switches, the kept combinations, and four figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import QPoint, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QInputDialog,
    QLineEdit,
    QScrollArea,
    QSizePolicy,
    QWidget,
)

from app.document import Document
from app.guard import guarded
from app.panels.figures import FourFigures
from app.panels.kept import KeptCombinations
from app.panels.rocker import SwitchCard
from app.panels.words import link, upright
from app.reading import Reading
from app.switches import Switches
from app.theme import Theme, font
from core.plan import Group, Plan
from core.plan.edits import assigned, with_group, without_group

__all__ = ["WallPlate"]

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_NARROWEST, _WIDEST = 88, 136  # px of a switch with its words


class _Strip(QScrollArea):
    """Tells when it has got another width: from the window, or because the figures beside it took more or less."""

    resized = Signal()

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()


class WallPlate(QWidget):
    """Turns switches; a change of the groups themselves is an edit of the plan."""

    message = Signal(str)
    thing_dropped = Signal(str, object)  # letter, what the shelf's drag carries

    def __init__(self, document: Document, switches: Switches, reading: Reading, theme: Theme) -> None:
        super().__init__()
        self._document, self._switches, self._theme = document, switches, theme
        self.cards: dict[str, SwitchCard] = {}
        self.kept = KeptCombinations(document, switches)
        self.kept.message.connect(self.message)
        self.figures = FourFigures(reading)
        self.new_switch = link("+", "Add a switch with the next free letter")
        self.new_switch.setAccessibleName("New switch")
        self.new_switch.setFont(font("figure"))
        self._lay_out()
        self.new_switch.clicked.connect(self.add_group)
        document.changed.connect(self._plan_changed)
        document.selection_changed.connect(self._selection_changed)
        switches.changed.connect(self._show_levels)
        self._rebuild(document.plan)
        self._selection_changed()

    def _lay_out(self) -> None:
        line = QHBoxLayout(self)
        line.setContentsMargins(8, 12, 16, 8)
        line.setSpacing(8)
        self._strip = QWidget()
        self._row = QHBoxLayout(self._strip)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(0)
        scroll = _Strip()
        scroll.resized.connect(self._share_width)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._strip)
        self._scroll = scroll
        line.addWidget(scroll, 1)
        line.addWidget(upright())
        line.addWidget(self.kept)
        line.addWidget(upright())
        line.addWidget(self.figures)

    def minimumSizeHint(self) -> QSize:
        return QSize(600, 112)

    def _share_width(self) -> None:
        """Give every switch the same share of the wall, so that six stand side by side in a window of 1280 px."""
        free = self._scroll.width() - self.new_switch.sizeHint().width()
        each = min(max(free // max(len(self.cards), 1), _NARROWEST), _WIDEST)
        for card in self.cards.values():
            card.setFixedWidth(each)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        for card in self.cards.values():
            card.set_theme(theme)

    def card_at(self, spot: QPoint) -> str | None:
        """Return the letter of the switch under a point of the screen."""
        for letter, card in self.cards.items():
            if card.isVisible() and card.rect().contains(card.mapFromGlobal(spot)):
                return letter
        return None

    def add_group(self) -> None:
        """Add a switch with the next free letter."""
        taken = {group.letter for group in self._document.plan.groups}
        free = next((letter for letter in _LETTERS if letter not in taken), None)
        if free is None:
            self.message.emit("All letters from A to Z have a switch; put fixtures on one that is there.")
            return
        plan = with_group(self._document.settled_plan, Group(free, f"Switch {free}"))
        self._document.apply(f"Add switch {free}", plan)

    def put_selection_on(self, letter: str) -> None:
        """Put the selected fixtures on a switch, which is made if it is not there."""
        plan = self._document.settled_plan
        chosen = [f.id for f in plan.fixtures if f.id in self._document.selection]
        if not chosen:
            self.message.emit(f"Select fixtures on the plan first; then they can go on switch {letter}.")
            return
        self._document.apply(f"Put on switch {letter}", assigned(plan, chosen, letter))

    def rename_group(self, letter: str) -> None:
        """Ask for a switch's name."""
        group = self._group(letter)
        name, fine = QInputDialog.getText(
            self, f"Switch {letter}", "What does it light?", QLineEdit.EchoMode.Normal, group.label
        )
        if fine and name.strip():
            self._edit_group(replace(group, label=name.strip()), f"Rename switch {letter}")

    def _set_dimmable(self, letter: str, dimmable: bool) -> None:
        text = f"Give switch {letter} a dimmer" if dimmable else f"Take the dimmer off switch {letter}"
        self._edit_group(replace(self._group(letter), dimmable=dimmable), text)
        if not dimmable and self._switches.levels.get(letter, 0.0) > 0.0:
            self._switches.set_level(letter, 1.0)

    def _remove_group(self, letter: str) -> None:
        try:
            plan = without_group(self._document.settled_plan, letter)
        except ValueError:
            self.message.emit("This is the only switch left, and there are fixtures on it. Add another one first.")
            return
        self._document.apply(f"Remove switch {letter}", plan)

    def _edit_group(self, group: Group, text: str) -> None:
        self._document.apply(text, with_group(self._document.settled_plan, group))

    def _group(self, letter: str) -> Group:
        return next(group for group in self._document.plan.groups if group.letter == letter)

    def _pick(self, letter: str) -> None:
        self._document.select(f.id for f in self._document.plan.fixtures if f.group == letter)

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        if old.groups != new.groups:
            self._rebuild(new)
        elif _what_hangs(old) != _what_hangs(new):
            self._show_levels()
            self._selection_changed()

    def _selection_changed(self) -> None:
        chosen = self._document.selection
        letters = {f.group for f in self._document.plan.fixtures if f.id in chosen}
        for letter, card in self.cards.items():
            card.set_has_selection(bool(letters), letters == {letter})

    def _rebuild(self, plan: Plan) -> None:
        wanted = [group.letter for group in plan.groups]
        if wanted != list(self.cards):
            while self._row.count():
                item = self._row.takeAt(0)
                widget = item.widget() if item is not None else None
                if widget is not None and widget is not self.new_switch:
                    widget.hide()
                    widget.deleteLater()
            self.cards = {group.letter: self._made(group) for group in plan.groups}
            for card in self.cards.values():
                self._row.addWidget(card)
            self._row.addWidget(self.new_switch)
            self._row.addStretch(1)
        for group in plan.groups:
            self.cards[group.letter].show_group(group)
        self._show_levels()
        self._selection_changed()
        self._share_width()

    def _made(self, group: Group) -> SwitchCard:
        card = SwitchCard(group, self._theme)
        card.flipped.connect(self._switches.toggle)
        card.dimmed.connect(self._switches.set_level)
        card.named.connect(self.rename_group)
        card.dimmer_wanted.connect(self._set_dimmable)
        card.selection_wanted.connect(self.put_selection_on)
        card.pick_wanted.connect(self._pick)
        card.removal_wanted.connect(self._remove_group)
        card.thing_dropped.connect(self.thing_dropped)
        return card

    def _show_levels(self) -> None:
        loads = _loads(self._document.plan)
        for letter, card in self.cards.items():
            lumens, watts, count = loads.get(letter, (0.0, 0.0, 0))
            card.show_level(self._switches.levels.get(letter, 1.0), lumens, watts, count)


def _what_hangs(plan: Plan) -> tuple[object, ...]:
    """Return what the loads depend on; where a fixture is does not count."""
    return plan.models, [(fixture.model, fixture.setting, fixture.group) for fixture in plan.fixtures]


def _loads(plan: Plan) -> Mapping[str, tuple[float, float, int]]:
    """Return lumens, watts and number of fixtures of each group at full level."""
    found: dict[str, tuple[float, float, int]] = {}
    for fixture in plan.fixtures:
        setting = plan.setting(fixture)
        lumens, watts, count = found.get(fixture.group, (0.0, 0.0, 0))
        found[fixture.group] = (lumens + setting.lumens, watts + setting.watts, count + 1)
    return found
