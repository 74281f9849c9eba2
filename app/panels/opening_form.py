"""The inspector's page for doors, windows and overhead doors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, Entry, common
from app.panels.quantity import Quantity
from app.panels.words import link, words
from core.plan import Opening, Plan
from core.plan.door_gear import HEADROOM, gear_of, headroom
from core.plan.edits import changed, with_door_gear
from core.units import UnitSystem, show_length

__all__ = ["OpeningForm"]

_PLURAL = {"door": "doors", "window": "windows", "overhead door": "overhead doors"}


class OpeningForm(QWidget):
    """Size and place of one or several openings; whether an overhead door is open, where a door is hinged."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._units = UnitSystem.US
        self._items: tuple[Opening, ...] = ()
        self.name = Entry("name", str, tip="What it is called on the plan and in lists")
        self.raised = Choice(
            "is", (("shut", False), ("open, under the ceiling", True)), "Double click on it does the same"
        )
        self.wide = Quantity("width", "length", 0.01, 300.0, "Between the jambs")
        self.high = Quantity("height", "length", 0.01, 30.0, "From sill or floor to its head")
        self.sill = Quantity("sill at", "length", 0.0, 30.0, "Height of its lower edge above the floor")
        self.start = Quantity(
            "from corner", "length", 0.0, 300.0, "From the corner where its wall begins to the near jamb"
        )
        self.hinge = Choice(
            "hinged at", (("its beginning", "start"), ("its end", "end")), "Which jamb carries the hinges"
        )
        self.swing = Choice(
            "opens",
            (("into the room", "in"), ("outwards", "out"), ("sideways, along the wall", "along")),
            "Where its leaf goes: fixtures keep clear of what swings into the room",
        )
        self.reflects = Quantity("reflects", "share", 0.0, 0.95, "Share of the light that it gives back: glass 0.1")
        self.note = words("", "small", "muted", wrap=True)
        self.gear = link("Hang tracks and opener", "Draws what an overhead door needs under the ceiling")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        rows = (
            self.name,
            self.raised,
            self.wide,
            self.high,
            self.sill,
            self.start,
            self.hinge,
            self.swing,
            self.reflects,
            self.note,
        )
        for row in (*rows, self.gear):
            column.addWidget(row)
        self._connect()

    def _connect(self) -> None:
        self.name.entered.connect(lambda value: self._change("Rename", name=value))
        self.raised.chosen.connect(lambda value: self._change("Open" if value else "Shut", is_open=value))
        self.wide.entered.connect(lambda value: self._change("Set width of", width=value))
        self.high.entered.connect(self._set_height)
        self.sill.entered.connect(self._set_sill)
        self.start.entered.connect(lambda value: self._change("Place", start=value))
        self.hinge.chosen.connect(lambda value: self._change("Hinge", hinge=value))
        self.swing.chosen.connect(lambda value: self._change("Swing", swing=value))
        self.reflects.entered.connect(lambda value: self._change("Set finish of", reflectance=value))
        self.gear.clicked.connect(self._hang_gear)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self._units = units
        for row in (self.wide, self.high, self.sill, self.start):
            row.set_units(units)

    def title(self, items: Sequence[Opening]) -> str:
        """Return what is selected, in words."""
        if len(items) == 1:
            return items[0].name or items[0].kind.capitalize()
        kind = common(item.kind for item in items)
        return f"{len(items)} {_PLURAL.get(kind, 'openings')}"

    def refresh(self, plan: Plan, items: Sequence[Opening]) -> None:
        """Show these openings."""
        self._items = tuple(items)
        rows: tuple[tuple[Any, str], ...] = (
            (self.name, "name"),
            (self.raised, "is_open"),
            (self.wide, "width"),
            (self.high, "height"),
            (self.sill, "sill"),
            (self.start, "start"),
            (self.hinge, "hinge"),
            (self.swing, "swing"),
            (self.reflects, "reflectance"),
        )
        for row, field in rows:
            row.set_value(common(getattr(item, field) for item in items))
        kinds = {item.kind for item in items}
        self.raised.setVisible(kinds == {"overhead door"})
        self.hinge.setVisible(kinds == {"door"} and any(item.swing != "along" for item in items))
        self.swing.setVisible(kinds == {"door"})
        self.start.setVisible(len(items) == 1)
        missing = any(len(gear_of(plan.room, item.id)) < 3 for item in items)
        self.gear.setVisible(kinds == {"overhead door"} and missing)
        low = [item for item in items if item.kind == "overhead door" and headroom(plan.room, item) < HEADROOM - 1e-9]
        self.note.setVisible(bool(low))
        if low:
            free, usual = (show_length(h, self._units) for h in (headroom(plan.room, low[0]), HEADROOM))
            self.note.setText(f"{free} above its head; tracks with torsion springs usually take {usual}.")

    def _set_height(self, height: float) -> None:
        top = max(item.sill for item in self._items) + height
        if top > self._document.plan.room.height + 1e-9:
            self.high.refuse("That would reach above the ceiling.")
            return
        self._change("Set height of", height=height)

    def _set_sill(self, sill: float) -> None:
        top = max(item.height for item in self._items) + sill
        if top > self._document.plan.room.height + 1e-9:
            self.sill.refuse("That would reach above the ceiling.")
            return
        self._change("Set sill of", sill=sill)

    def _hang_gear(self) -> None:
        plan = self._document.settled_plan
        for item in self._items:
            plan = with_door_gear(plan, item.id)
        self._document.apply("Hang tracks and opener", plan)

    def _change(self, text: str, **values: Any) -> None:
        plan = self._document.settled_plan
        for item in self._items:
            problem = _room_for(plan, item, values)
            if problem is not None:
                (self.wide if "width" in values else self.start).refuse(problem)
                return
        kind = common(item.kind for item in self._items)
        noun = f"the {kind}" if isinstance(kind, str) and len(self._items) == 1 else "openings"
        self._document.apply(f"{text} {noun}", changed(plan, [item.id for item in self._items], **values))


def _room_for(plan: Plan, item: Opening, values: dict[str, Any]) -> str | None:
    """Say why an opening cannot be so wide, or there; None where it can."""
    if not values.keys() & {"width", "start"}:
        return None
    width, start = values.get("width", item.width), values.get("start", item.start)
    length = math.dist(*plan.room.wall(item.wall))
    if width > length + 1e-9 or ("start" in values and start + width > length + 1e-9):
        return "The wall ends before that."
    start = min(start, length - width)
    others = [o for o in plan.room.openings if o.wall == item.wall and o.id != item.id]
    if any(start < o.start + o.width - 1e-6 and o.start < start + width - 1e-6 for o in others):
        return "There is another opening in the way."
    return None
