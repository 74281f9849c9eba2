"""Switches: how each group is dimmed, which boxes it is switched from, and how ceiling and walls can be reached."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.entry import Choice
from app.panels.words import heading, words
from core.plan import Plan
from core.units import UnitError, UnitSystem, parse_length, show_length
from core.wiring import Wired
from core.wiring.decisions import with_assumed, with_dimmer, with_switch_box, with_wiring, without_switch_box

__all__ = ["SwitchesPage"]

_GROUP_HEADS = ("group", "dims by", "dimmer carries W", "fixtures W", "switched from", "to note")
_BOX_HEADS = ("box", "groups", "height", "door")
_KINDS = ("none", "forward phase", "reverse phase", "0-10 V")
_ACCESS = [("Open framing", "open framing"), ("Closed", "closed"), ("From the attic", "from the attic")]


class SwitchesPage(QWidget):
    """Follows the wiring that the dialog gives it; places on the plan are picked by whoever listens."""

    panel_wanted = Signal()
    box_wanted = Signal()
    lead_wanted = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._done: Wired | None = None
        self.groups = make_table("Groups", _GROUP_HEADS, (0, 2, 3, 4))
        self.groups.itemChanged.connect(self._group_typed)
        self.boxes = make_table("Switch boxes", _BOX_HEADS, (1, 2))
        self.boxes.itemChanged.connect(self._box_typed)
        self.said = words("", "small", "danger", wrap=True)
        self.access = Choice("Ceiling", _ACCESS, "How the ceiling can be reached: decides boxes and staples")
        self.walls = Choice("Walls", _ACCESS, "How the walls can be reached")
        self.scheme = Choice(
            "Fixtures",
            [("One after the other", "daisy chain"), ("Junctions at boxes", "junction boxes")],
            "How cable goes from fixture to fixture",
        )
        self.access.chosen.connect(self._set_ceiling)
        self.walls.chosen.connect(lambda value: self._set("Change how walls are reached", walls=value))
        self.scheme.chosen.connect(lambda value: self._set("Change how fixtures are fed", scheme=value))
        self._lay_out()

    def _lay_out(self) -> None:
        self.place_panel = self._button("Place the panel", self.panel_wanted.emit)
        self.place_box = self._button("Place a switch box", self.box_wanted.emit)
        self.remove = self._button("Remove box", self.remove_box)
        self.place_lead = self._button("Place a lead", self.lead_wanted.emit)
        self.place_lead.setToolTip("A switched cable end that was left above the ceiling counts with its length")
        self.forget_leads = self._button("Forget leads", lambda: self._set("Forget the leads", leads=()))
        row = QHBoxLayout()
        for button in (self.place_panel, self.place_box, self.remove, self.place_lead, self.forget_leads):
            row.addWidget(button)
        row.addStretch(1)
        choices = QGridLayout()
        choices.setHorizontalSpacing(16)
        for number, choice in enumerate((self.access, self.walls, self.scheme)):
            choices.addWidget(choice, 0, number)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addLayout(choices)
        column.addWidget(heading("Groups; type none, forward phase, reverse phase or 0-10 V for the dimmer you have"))
        column.addWidget(self.groups, 3)
        column.addWidget(heading("Switch boxes; a group in two boxes gets three-way switches"))
        column.addWidget(self.boxes, 2)
        column.addWidget(self.said)
        column.addLayout(row)

    def _button(self, text: str, do: Callable[[], None]) -> QPushButton:
        button = QPushButton(text)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: do())
        return button

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        self._done = done
        self.access.set_value(plan.ceiling.access)
        self.walls.set_value(plan.wiring.walls)
        self.scheme.set_value(plan.wiring.scheme)
        labels = {group.letter: group.label for group in plan.groups}
        most = {dimmer.group: dimmer.most_watts for dimmer in plan.wiring.dimmers}
        for table in (self.groups, self.boxes):
            table.blockSignals(True)
        self.groups.setRowCount(len(done.controls))
        for row, control in enumerate(done.controls):
            carries = f"{most[control.group]:g}" if most.get(control.group) else ""
            name = f"{control.group} {labels[control.group]}".strip()
            count = (
                f"{control.locations} box{'' if control.locations == 1 else 'es'}" if control.locations else "the lamp"
            )
            texts = (name, control.kind, carries, f"{control.watts:g}", count, control.trouble)
            put_row(self.groups, row, texts, (1, 2), (2, 3))
        self._show_boxes(plan, done)
        for table in (self.groups, self.boxes):
            table.blockSignals(False)

    def _show_boxes(self, plan: Plan, done: Wired) -> None:
        doors = {opening.id: opening.name or opening.id for opening in plan.room.openings}
        self.boxes.setRowCount(len(done.wiring.switch_boxes))
        for row, box in enumerate(done.wiring.switch_boxes):
            name = f"S{row + 1}" + (" (assumed)" if box.id in done.assumed else "")
            height = show_length(box.height, _system(plan))
            put_row(self.boxes, row, (name, " ".join(box.groups), height, doors.get(box.opening, "")), (1, 2), (2,))
        self.remove.setEnabled(bool(plan.wiring.switch_boxes))
        self.forget_leads.setEnabled(bool(plan.wiring.leads))

    def remove_box(self) -> None:
        """Remove the switch box of the current row."""
        row, boxes = self.boxes.currentRow(), self._document.settled_plan.wiring.switch_boxes
        if 0 <= row < len(boxes):
            self._document.apply("Remove a switch box", without_switch_box(self._document.settled_plan, boxes[row].id))

    def _set(self, text: str, **values: object) -> None:
        self._document.apply(text, with_wiring(self._document.settled_plan, **values))

    def _set_ceiling(self, value: object) -> None:
        plan = self._document.settled_plan
        ceiling = replace(plan.ceiling, access=value)  # type: ignore[arg-type]
        self._document.apply("Change how the ceiling is reached", replace(plan, ceiling=ceiling))

    def _group_typed(self, item: QTableWidgetItem) -> None:
        if self._done is None:
            return
        letter = self._done.controls[item.row()].group
        plan = self._document.settled_plan
        known = next((dimmer for dimmer in plan.wiring.dimmers if dimmer.group == letter), None)
        text = item.text().strip()
        try:
            if item.column() == 1:
                kind = _kind(text)
                edited = with_dimmer(plan, letter, kind, known.most_watts if known else 0.0)
            else:
                kind = known.kind if known else self._done.controls[item.row()].kind
                edited = with_dimmer(plan, letter, kind, _watts(text))
        except ValueError as problem:
            self._refuse(str(problem))
            return
        self.said.setText("")
        self._document.apply(f"Change the dimmer of {letter}", edited)

    def _box_typed(self, item: QTableWidgetItem) -> None:
        plan = with_assumed(self._document.settled_plan)
        box = plan.wiring.switch_boxes[item.row()]
        try:
            if item.column() == 1:
                known = {group.letter for group in plan.groups}
                letters = tuple(dict.fromkeys(c for c in item.text().upper() if c in known))[:8]
                if not letters:
                    raise ValueError(f"Name the groups that are switched here, out of {', '.join(sorted(known))}.")
                edited = with_switch_box(plan, box.id, groups=letters)
            else:
                height = parse_length(item.text(), _system(plan))
                if not 0.0 <= height <= plan.room.height:
                    raise ValueError("A switch is between the floor and the ceiling.")
                edited = with_switch_box(plan, box.id, height=height)
        except (UnitError, ValueError) as problem:
            self._refuse(str(problem))
            return
        self.said.setText("")
        self._document.apply("Change a switch box", edited)

    def _refuse(self, reason: str) -> None:
        self.said.setText(reason)
        if self._done is not None:
            self.show_wired(self._document.plan, self._done)


def _system(plan: Plan) -> UnitSystem:
    return UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US


def _kind(text: str):  # type: ignore[no-untyped-def]
    """Return the kind of a dimmer as it is typed; None where the cell is emptied."""
    if not text:
        return None
    for kind in _KINDS:
        if kind.startswith(text.lower()):
            return kind
    raise ValueError("A dimmer is none, forward phase, reverse phase or 0-10 V.")


def _watts(text: str) -> float:
    number = text.upper().removesuffix("W").strip()
    try:
        value = float(number) if number else 0.0
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 10_000.0:
        raise ValueError("Type the watts of LED that the dimmer may carry, as 150, or nothing.")
    return value
