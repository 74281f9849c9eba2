"""Rows that fixtures and furniture share: how far the centre is from the walls, and how it is turned."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from PySide6.QtWidgets import QVBoxLayout, QWidget
from shapely.geometry import Polygon

from app.document import Document
from app.panels.entry import common
from app.panels.quantity import Quantity
from app.panels.words import words
from core.plan import Plan
from core.plan.distances import WallSide
from core.plan.edits import changed, find, placed_from_wall, position_from_walls
from core.units import UnitSystem, show_length

__all__ = ["Placing"]

_SIDES: tuple[WallSide, ...] = ("left", "right", "front", "back")
_WHERE = {
    "left": "left on the sheet",
    "right": "right on the sheet",
    "front": "down the sheet",
    "back": "up the sheet",
}

_OPPOSITE: dict[WallSide, WallSide] = {"left": "right", "right": "left", "front": "back", "back": "front"}


class Placing(QWidget):
    """Distances from the centre of each selected thing to the walls around it, to be read and typed."""

    def __init__(self, document: Document, noun: str) -> None:
        super().__init__()
        self._document, self._noun = document, noun
        self._ids: tuple[str, ...] = ()
        self._units = UnitSystem.US
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(words("From the centre, in a straight line", "small", "muted"))
        self.sides: dict[WallSide, Quantity] = {}
        for side in _SIDES:
            row = Quantity(
                f"to {side} wall",
                "length",
                0.0,
                300.0,
                f"From the centre to the nearest wall {_WHERE[side]}, in a straight line",
            )
            row.entered.connect(lambda value, side=side: self._put(side, value))
            self.sides[side] = row
            column.addWidget(row)
        self.turned = Quantity("turned", "angle", -3600.0, 3600.0, "Counter-clockwise, 0 along the sheet")
        self.turned.entered.connect(self._turn)
        column.addWidget(self.turned)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self._units = units
        for row in self.sides.values():
            row.set_units(units)

    def refresh(self, plan: Plan, ids: Sequence[str], rotations: Sequence[float]) -> None:
        """Show where these things are."""
        self._ids = tuple(ids)
        places = [position_from_walls(plan, identity) for identity in ids]
        for side, row in self.sides.items():
            there = all(side in place for place in places)
            row.line.setEnabled(there)
            row.set_value(common(round(place[side], 5) for place in places) if there else None)
        self.turned.set_value(common(rotations))

    def _put(self, side: WallSide, distance: float) -> None:
        plan = self._document.settled_plan
        for identity in self._ids:
            across = _across(plan, identity, side)
            plan = placed_from_wall(plan, identity, side, distance)
            if not _is_in_room(plan, identity):
                wide = f": the walls are {show_length(across, self._units)} apart there" if across else ""
                self.sides[side].refuse(f"That is beyond the wall{wide}.")
                return
        self._document.apply(f"Place {self._noun} from the {side} wall", plan)

    def _turn(self, degrees: float) -> None:
        plan = changed(self._document.settled_plan, self._ids, rotation_deg=degrees % 360.0)
        self._document.apply(f"Turn {self._noun}", plan)


def _across(plan: Plan, identity: str, side: WallSide) -> float | None:
    """Return how far the walls on both sides of a thing are apart [m], None where it is not between walls."""
    place = position_from_walls(plan, identity)
    other = _OPPOSITE[side]
    return place[side] + place[other] if side in place and other in place else None


def _is_in_room(plan: Plan, identity: str) -> bool:
    thing = find(plan, identity)
    x, y = getattr(thing, "x", None), getattr(thing, "y", None)
    return x is None or y is None or bool(shapely.intersects_xy(Polygon(plan.room.outline), x, y))
