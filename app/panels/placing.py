"""Rows that fixtures and furniture share: how far the centre is from the walls, and how it is turned."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import common
from app.panels.quantity import Quantity
from core.plan import Plan
from core.plan.distances import WallSide
from core.plan.edits import changed, placed_from_wall, position_from_walls
from core.units import UnitSystem

__all__ = ["Placing"]

_SIDES: tuple[WallSide, ...] = ("left", "right", "front", "back")
_WHERE = {
    "left": "left on the sheet",
    "right": "right on the sheet",
    "front": "down the sheet",
    "back": "up the sheet",
}


class Placing(QWidget):
    """Distances from the centre of each selected thing to the walls around it, to be read and typed."""

    def __init__(self, document: Document, noun: str) -> None:
        super().__init__()
        self._document, self._noun = document, noun
        self._ids: tuple[str, ...] = ()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
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
            plan = placed_from_wall(plan, identity, side, distance)
        self._document.apply(f"Place {self._noun} from the {side} wall", plan)

    def _turn(self, degrees: float) -> None:
        plan = changed(self._document.settled_plan, self._ids, rotation_deg=degrees % 360.0)
        self._document.apply(f"Turn {self._noun}", plan)
