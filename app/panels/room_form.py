"""The inspector's page for the room, shown when nothing is selected."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, Entry
from app.panels.finish_row import FinishRow
from app.panels.quantity import Quantity
from app.panels.words import heading, words
from core.plan import Finish, Plan, Room
from core.plan.door_gear import with_gear_following
from core.units import UnitSystem, show_area, show_length

__all__ = ["RoomForm", "wall_name"]


def _a_name(text: str) -> str:
    if not text:
        raise ValueError("Give the shop a name; it stands on the lists and sheets.")
    return text


class RoomForm(QWidget):
    """Height, finishes, the work plane, what is wanted, and the light lost with time."""

    def __init__(self, document: Document, finishes: Sequence[Finish]) -> None:
        super().__init__()
        self._document = document
        self._units = UnitSystem.US
        self._wall = 0
        self.name = Entry("name", _a_name, tip="What it is called on the plan and in lists")
        self.extent = words("", "small", "muted")
        self.ceiling_height = Quantity("ceiling height", "length", 1.01, 30.0, "Floor to ceiling")
        self.ceiling = FinishRow("ceiling", finishes)
        self.walls = FinishRow("walls", finishes)
        self.floor = FinishRow("floor", finishes)
        self.one_wall = Choice("one wall", tip="Pick a wall that has a finish of its own")
        self.own_finish = FinishRow("this wall", finishes, "as the other walls")
        self.work_plane = Quantity("work plane", "length", 0.0, 5.0, "Height at which the light is shown")
        self.target = Quantity("target", "light", 1.0, 100_000.0, "Light wanted; the middle of the colours")
        self.evenness = Quantity("evenness", "share", 0.0, 1.0, "Wanted darkest point divided by the average")
        self.band = Quantity(
            "wall band",
            "length",
            0.0,
            30.0,
            "This much beside the walls does not count for the room's figures (EN 12464-1 leaves 0.5 m)",
        )
        self.ageing = Quantity(
            "ageing",
            "share",
            0.01,
            1.0,
            "Share of its first lumens that a lamp still gives (0.85 to 0.95 is common)",
        )
        self.dirt = Quantity("dirt", "share", 0.01, 1.0, "Share that dust leaves through (0.8 to 0.9 in a dusty shop)")
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        groups: tuple[tuple[str, tuple[QWidget, ...]], ...] = (
            ("", (self.name, self.extent, self.ceiling_height)),
            ("What is wanted", (self.target, self.work_plane, self.evenness, self.band)),
            ("Finishes", (self.ceiling, self.walls, self.floor, self.one_wall, self.own_finish)),
            ("Light that is left with time", (self.ageing, self.dirt)),
        )
        for title, rows in groups:
            if title:
                head = heading(title)
                head.setContentsMargins(0, 8, 0, 2)
                column.addWidget(head)
            for row in rows:
                column.addWidget(row)

    def _connect(self) -> None:
        self.name.entered.connect(lambda value: self._change("Rename the shop", name=value))
        self.ceiling_height.entered.connect(lambda value: self._change_room("Set ceiling height", height=value))
        self.ceiling.chosen.connect(lambda value: self._change_room("Finish the ceiling", ceiling=value))
        self.walls.chosen.connect(lambda value: self._change_room("Finish the walls", walls=value))
        self.floor.chosen.connect(lambda value: self._change_room("Finish the floor", floor=value))
        self.one_wall.chosen.connect(self._pick_wall)
        self.own_finish.chosen.connect(self._finish_wall)
        self.work_plane.entered.connect(lambda value: self._change("Set work plane", work_plane=value))
        self.target.entered.connect(lambda value: self._change_part("Set target", "targets", lux=value))
        self.evenness.entered.connect(lambda value: self._change_part("Set evenness", "targets", evenness=value))
        self.band.entered.connect(lambda value: self._change_part("Set wall band", "targets", wall_band=value))
        self.ageing.entered.connect(
            lambda value: self._change_part("Set ageing", "light_loss", lumen_depreciation=value)
        )
        self.dirt.entered.connect(lambda value: self._change_part("Set dirt", "light_loss", dirt=value))

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self._units = units
        for row in (self.ceiling_height, self.work_plane, self.target, self.band):
            row.set_units(units)

    def refresh(self, plan: Plan, wall: int | None = None) -> None:
        """Show the room; with ``wall`` that wall is picked for a finish of its own."""
        room = plan.room
        if wall is not None:
            self._wall = wall
        self._wall = min(self._wall, len(room.outline) - 1)
        self.name.set_value(plan.name)
        area = show_area(float(shapely.Polygon(room.outline).area), self._units)
        self.extent.setText(f"{area}, {len(room.outline)} corners" + (" · invented example" if plan.invented else ""))
        self.ceiling_height.set_value(room.height)
        self.ceiling.set_value(room.ceiling)
        self.walls.set_value(room.walls)
        self.floor.set_value(room.floor)
        self.one_wall.set_options((wall_name(room, i, self._units), i) for i in range(len(room.outline)))
        self.one_wall.set_value(self._wall)
        own = room.wall_finishes[self._wall] if self._wall < len(room.wall_finishes) else None
        self.own_finish.set_value(own)
        self.work_plane.set_value(plan.work_plane)
        self.target.set_value(plan.targets.lux)
        self.evenness.set_value(plan.targets.evenness)
        self.band.set_value(plan.targets.wall_band)
        self.ageing.set_value(plan.light_loss.lumen_depreciation)
        self.dirt.set_value(plan.light_loss.dirt)

    def _pick_wall(self, index: int) -> None:
        self.refresh(self._document.plan, index)

    def _finish_wall(self, finish: Finish | None) -> None:
        room = self._document.settled_plan.room
        count = len(room.outline)
        own = [room.wall_finishes[i] if i < len(room.wall_finishes) else None for i in range(count)]
        own[self._wall] = finish
        finishes = tuple(own) if any(own) else ()
        self._change_room("Finish one wall", wall_finishes=finishes)

    def _change(self, text: str, **values: Any) -> None:
        self._document.apply(text, replace(self._document.settled_plan, **values))

    def _change_room(self, text: str, **values: Any) -> None:
        plan = self._document.settled_plan
        # Tracks and openers of overhead doors hang from the ceiling, wherever it is.
        self._document.apply(text, with_gear_following(replace(plan, room=replace(plan.room, **values))))

    def _change_part(self, text: str, part: str, **values: Any) -> None:
        plan = self._document.settled_plan
        self._change(text, **{part: replace(getattr(plan, part), **values)})


def wall_name(room: Room, index: int, units: UnitSystem) -> str:
    """Return a wall's number, side and length, as it stands in lists of walls."""
    (ax, ay), (bx, by) = room.wall(index)
    dx, dy = bx - ax, by - ay
    # The room lies to the left of a wall, so the wall's own side is to the right of its direction.
    along, across = ("front" if dx > 0 else "back"), ("right" if dy > 0 else "left")
    side = along if abs(dx) >= abs(dy) else across
    return f"{index + 1}: {side}, {show_length(math.hypot(dx, dy), units)}"
