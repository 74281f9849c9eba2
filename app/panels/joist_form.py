"""The inspector's page for joists: the way they run, how far apart, where the first one lies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.canvas.joist_lines import first_from_wall, offset_for_first
from app.document import Document
from app.panels.entry import MIXED, Choice, common
from app.panels.quantity import Quantity
from app.panels.words import link
from core.plan import JoistZone, Plan
from core.plan.edits import changed, removed
from core.units import INCH, UnitSystem

__all__ = ["JoistForm"]

_OWN = "own"
_SPACINGS = ((16 * INCH, "16 in on centre"), (24 * INCH, "24 in on centre"))
_WAYS = ((0.0, "across the sheet"), (90.0, "up the sheet"))


class JoistForm(QWidget):
    """One or several zones of joists."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._zones: tuple[JoistZone, ...] = ()
        self._wants_own = False
        self.way = Choice(
            "run", [*((text, way) for way, text in _WAYS), ("at an angle of their own", _OWN)], "Which way they go"
        )
        self.angle = Quantity("direction", "angle", -3600.0, 3600.0, "Counter-clockwise, 0 along the sheet")
        self.apart = Choice(
            "spaced",
            [*((text, apart) for apart, text in _SPACINGS), ("otherwise", _OWN)],
            "From the middle of one to the middle of the next",
        )
        self.spacing = Quantity("spacing", "length", 0.05, 10.0, "From centre to centre")
        self.first = Quantity("first from wall", "length", 0.0, 10.0, "From the left or front wall to the first centre")
        self.thick = Quantity("thickness", "length", 0.01, 1.0, "Of one joist: 1 1/2 in for two-by lumber")
        self.remove = link("Remove these joists")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in (self.way, self.angle, self.apart, self.spacing, self.first, self.thick, self.remove):
            column.addWidget(row)
        self.way.chosen.connect(self._set_way)
        self.angle.entered.connect(lambda value: self._change("Turn joists", direction_deg=value % 180.0))
        self.apart.chosen.connect(self._set_apart)
        self.spacing.entered.connect(lambda value: self._change("Space joists", spacing=value))
        self.first.entered.connect(self._set_first)
        self.thick.entered.connect(lambda value: self._change("Set thickness of joists", joist_width=value))
        self.remove.clicked.connect(self._remove)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        for row in (self.spacing, self.first, self.thick):
            row.set_units(units)

    def title(self, zones: Sequence[JoistZone]) -> str:
        """Return what is selected, in words."""
        if len(zones) > 1:
            return f"Joists in {len(zones)} parts"
        return "Joists in a part of the room" if zones[0].outline else "Joists"

    def refresh(self, plan: Plan, zones: Sequence[JoistZone]) -> None:
        """Show these joists."""
        if tuple(zone.id for zone in zones) != tuple(zone.id for zone in self._zones):
            self._wants_own = False
        self._zones = tuple(zones)
        way = common(zone.direction_deg % 180.0 for zone in zones)
        known_way = any(way == known for known, _ in _WAYS)
        self.way.set_value(way if known_way or way is MIXED else _OWN)
        self.angle.setVisible(not known_way or self._wants_own)
        self.angle.set_value(way)
        apart = common(round(zone.spacing, 6) for zone in zones)
        known = next((known for known, _ in _SPACINGS if isinstance(apart, float) and abs(known - apart) < 1e-6), None)
        self.apart.set_value(MIXED if apart is MIXED else _OWN if known is None or self._wants_own else known)
        self.spacing.setVisible(known is None or self._wants_own)
        self.spacing.set_value(apart)
        self.first.set_value(common(round(first_from_wall(plan.room, zone), 6) for zone in zones))
        self.thick.set_value(common(zone.joist_width for zone in zones))

    def _set_way(self, way: object) -> None:
        if way == _OWN:
            self.angle.setVisible(True)
            self.angle.line.setFocus()
        else:
            self._change("Turn joists", direction_deg=way)

    def _set_apart(self, apart: object) -> None:
        self._wants_own = apart == _OWN
        if self._wants_own:
            self.spacing.setVisible(True)
            self.spacing.line.setFocus()
        else:
            self._change("Space joists", spacing=apart)

    def _set_first(self, distance: float) -> None:
        plan = self._document.settled_plan
        for zone in self._zones:
            plan = changed(plan, [zone.id], offset=offset_for_first(plan.room, zone, distance))
        self._document.apply("Place the first joist", plan)

    def _change(self, text: str, **values: Any) -> None:
        """Change joists; the first one keeps its distance from the wall."""
        plan = self._document.settled_plan
        for zone in self._zones:
            first = first_from_wall(plan.room, zone)
            plan = changed(plan, [zone.id], **values)
            now = next(known for known in plan.room.joists if known.id == zone.id)
            plan = changed(plan, [zone.id], offset=offset_for_first(plan.room, now, first))
        self._document.apply(text, plan)

    def _remove(self) -> None:
        ids = [zone.id for zone in self._zones]
        self._document.apply("Remove joists", removed(self._document.settled_plan, ids), select=())
