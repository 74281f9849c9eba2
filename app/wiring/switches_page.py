"""Switches: how each group is dimmed, which boxes it is switched from, and how ceiling and walls can be reached."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.entry import Choice
from app.panels.room_form import wall_name
from app.panels.words import heading, words
from app.wiring.stages_page import read_stage
from core.plan import Plan
from core.plan.edits import with_group
from core.plan.wiring import DimmerKind
from core.units import UnitError, UnitSystem, parse_length, parse_ratio, show_length, show_ratio
from core.wiring import Wired
from core.wiring.decisions import (
    with_assumed,
    with_dimmer,
    with_stages,
    with_switch_box,
    with_switch_box_along,
    with_wall_access,
    with_wiring,
    without_switch_box,
)
from core.wiring.places import nearest_wall

__all__ = ["SwitchesPage"]

_GROUP_HEADS = ("group", "dims by", "dimmer carries W", "fixtures W", "switched from", "to note", "lowest level")
_LOWEST = 6
_BOX_HEADS = ("box", "groups", "height", "door", "along its wall", "switches are")
_GROUPS, _HEIGHT, _DOOR, _ALONG, _STAGE = range(1, 6)
_AS_OTHERS = "as the other walls"
_KINDS: tuple[DimmerKind, ...] = ("none", "forward phase", "reverse phase", "0-10 V")
_ACCESS = [("Open framing", "open framing"), ("Closed", "closed"), ("From the attic", "from the attic")]


class SwitchesPage(QWidget):
    """Follows the wiring that the dialog gives it; places on the plan are picked by whoever listens."""

    panel_wanted = Signal()
    box_wanted = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._done: Wired | None = None
        self.groups = make_table("Groups", _GROUP_HEADS, (0, 2, 3, 4, 6))
        self.groups.itemChanged.connect(self._group_typed)
        self.boxes = make_table("Switch boxes", _BOX_HEADS, (1, 2, 4, 5))
        self.boxes.itemChanged.connect(self._box_typed)
        self.said = words("", "small", "danger", wrap=True)
        self.access = Choice("Ceiling", _ACCESS, "How the ceiling can be reached: decides boxes and staples")
        self.walls = Choice("Walls", _ACCESS, "How the walls can be reached")
        self.one_wall = Choice("One wall", tip="Pick a wall that is reached in another way")
        self.own_access = Choice("this wall", [(_AS_OTHERS, None), *_ACCESS], "How the picked wall can be reached")
        self._wall = 0
        self.scheme = Choice(
            "Fixtures",
            [("One after the other", "daisy chain"), ("Junctions at boxes", "junction boxes")],
            "How cable goes from fixture to fixture",
        )
        self.access.chosen.connect(self._set_ceiling)
        self.walls.chosen.connect(lambda value: self._set("Change how walls are reached", walls=value))
        self.one_wall.chosen.connect(self._pick_wall)
        self.own_access.chosen.connect(self._set_wall)
        self.scheme.chosen.connect(lambda value: self._set("Change how fixtures are fed", scheme=value))
        self._lay_out()

    def _lay_out(self) -> None:
        self.place_panel = self._button("Place the panel", self.panel_wanted.emit)
        self.place_box = self._button("Place a switch box", self.box_wanted.emit)
        self.remove = self._button("Remove box", self.remove_box)
        row = QHBoxLayout()
        for button in (self.place_panel, self.place_box, self.remove):
            row.addWidget(button)
        row.addStretch(1)
        choices = QGridLayout()
        choices.setHorizontalSpacing(16)
        for number, choice in enumerate((self.access, self.walls, self.scheme)):
            choices.addWidget(choice, 0, number)
        for number, choice in enumerate((self.one_wall, self.own_access)):
            choices.addWidget(choice, 1, number)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addLayout(choices)
        column.addWidget(heading("Groups; type none, forward phase, reverse phase or 0-10 V for the dimmer you have"))
        column.addWidget(self.groups, 3)
        column.addWidget(
            heading(
                "Switch boxes; a group in two boxes gets three-way switches. With cable on the plan they can be dragged"
            )
        )
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
        self._show_wall(plan)
        labels = {group.letter: group.label for group in plan.groups}
        lows = {group.letter: group.minimum for group in plan.groups if group.dimmable}
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
            lowest = show_ratio(lows[control.group]) if control.group in lows else ""
            texts = (name, control.kind, carries, f"{control.watts:g}", count, control.trouble, lowest)
            put_row(self.groups, row, texts, (1, 2, _LOWEST), (2, 3, _LOWEST))
        self._show_boxes(plan, done)
        for table in (self.groups, self.boxes):
            table.blockSignals(False)

    def _show_boxes(self, plan: Plan, done: Wired) -> None:
        doors = {opening.id: opening.name or opening.id for opening in plan.room.openings}
        self.boxes.setRowCount(len(done.wiring.switch_boxes))
        for row, box in enumerate(done.wiring.switch_boxes):
            name = f"S{row + 1}" + (" (assumed)" if box.id in done.assumed else "")
            wall, foot = nearest_wall(plan.room, box.x, box.y)
            along = show_length(math.dist(plan.room.wall(wall)[0], foot), _system(plan))
            stage = done.wiring.stage("switch", box.id) or done.wiring.stage("switch box", box.id) or "to do"
            height = show_length(box.height, _system(plan))
            texts = (name, " ".join(box.groups), height, doors.get(box.opening, ""), along, stage)
            put_row(self.boxes, row, texts, (_GROUPS, _HEIGHT, _DOOR, _ALONG, _STAGE), (_HEIGHT, _ALONG))
        self.remove.setEnabled(bool(plan.wiring.switch_boxes))

    def _show_wall(self, plan: Plan) -> None:
        self._wall = min(self._wall, len(plan.room.outline) - 1)
        names = (wall_name(plan.room, number, _system(plan)) for number in range(len(plan.room.outline)))
        self.one_wall.set_options((name, number) for number, name in enumerate(names))
        self.one_wall.set_value(self._wall)
        own = plan.wiring.wall_access
        self.own_access.set_value(own[self._wall] if self._wall < len(own) else None)

    def _pick_wall(self, wall: int) -> None:
        self._wall = wall
        self._show_wall(self._document.plan)

    def _set_wall(self, value: object) -> None:
        plan = with_wall_access(self._document.settled_plan, self._wall, value)  # type: ignore[arg-type]
        self._document.apply("Change how one wall is reached", plan)

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
                edited = with_dimmer(plan, letter, _kind(text), known.most_watts if known else 0.0)
            elif item.column() == _LOWEST:
                edited = _with_lowest(plan, letter, text)
            else:
                kind = known.kind if known else self._done.controls[item.row()].kind
                edited = with_dimmer(plan, letter, kind, _watts(text))
        except (UnitError, ValueError) as problem:
            self._refuse(str(problem))
            return
        self.said.setText("")
        self._document.apply(f"Change the dimmer of {letter}", edited)

    def _box_typed(self, item: QTableWidgetItem) -> None:
        plan = with_assumed(self._document.settled_plan)
        box = plan.wiring.switch_boxes[item.row()]
        try:
            edited = _BOX_READERS[item.column()](plan, box.id, item.text().strip())
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


def _with_groups(plan: Plan, box: str, text: str) -> Plan:
    known = {group.letter for group in plan.groups}
    letters = tuple(dict.fromkeys(c for c in text.upper() if c in known))[:8]
    if not letters:
        raise ValueError(f"Name the groups that are switched here, out of {', '.join(sorted(known))}.")
    return with_switch_box(plan, box, groups=letters)


def _with_height(plan: Plan, box: str, text: str) -> Plan:
    height = parse_length(text, _system(plan))
    if not 0.0 <= height <= plan.room.height:
        raise ValueError("A switch is between the floor and the ceiling.")
    return with_switch_box(plan, box, height=height)


def _with_door(plan: Plan, box: str, text: str) -> Plan:
    doors = {(o.name or o.id).casefold(): o for o in plan.room.openings if o.kind != "window"}
    if text and text.casefold() not in doors:
        names = ", ".join(o.name or o.id for o in doors.values()) or "none"
        raise ValueError(f"There is no door of that name; the doors are: {names}.")
    return with_switch_box(plan, box, opening=doors[text.casefold()].id if text else "")


def _along(plan: Plan, box: str, text: str) -> Plan:
    return with_switch_box_along(plan, box, parse_length(text, _system(plan)))


def _with_stage(plan: Plan, box: str, text: str) -> Plan:
    return with_stages(plan, [("switch", box)], read_stage(text))


_BOX_READERS = {_GROUPS: _with_groups, _HEIGHT: _with_height, _DOOR: _with_door, _ALONG: _along, _STAGE: _with_stage}


def _with_lowest(plan: Plan, letter: str, text: str) -> Plan:
    group = next(group for group in plan.groups if group.letter == letter)
    if not group.dimmable:
        raise ValueError(f"Switch {letter} has no dimmer; right-click it on the wall plate to give it one.")
    share = parse_ratio(text)
    if not 0.0 <= share <= 1.0:
        raise ValueError("The lowest level of a dimmer is a share of full light, as 10 %.")
    return with_group(plan, replace(group, minimum=share))


def _kind(text: str) -> DimmerKind | None:
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
