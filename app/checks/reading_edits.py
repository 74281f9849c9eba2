"""What is done to the readings of the plan: laid out, placed, pasted, typed, removed; each one step of undo.

Every edit returns what is wrong in words, '' where nothing is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Literal

from app.checks.background import setting_name
from app.checks.fields import units_of
from app.document import Document
from app.reading import Reading
from core.metering.pasted import PasteError, read_pasted
from core.metering.walk import walk_points
from core.plan import Plan, Point
from core.plan.checking import MeterReading, fresh_number, with_entry, without_entry
from core.units import UnitError, UnitSystem, parse_illuminance

__all__ = ["ReadingEdits"]


class ReadingEdits:
    """Edits a document's readings; new ones are of `lamps` at the present switch setting."""

    def __init__(self, document: Document, reading: Reading) -> None:
        self._document, self._reading = document, reading
        self.lamps: Literal["planned", "old"] = "planned"

    def lay_out_walk(self) -> str:
        """Put numbered blank readings on the plan, in place of blank ones."""
        plan, levels = self._document.settled_plan, dict(self._reading.levels)
        taken = tuple(r for r in plan.checking.readings if r.lux is not None)
        checking = replace(plan.checking, readings=taken)
        for point in walk_points(plan, levels, setting_name(plan, levels)):
            made = replace(point, id=fresh_number(checking, "reading"), lamps=self.lamps)
            checking = with_entry(checking, made)
        self._document.apply("Lay out a walk", replace(plan, checking=checking))
        return ""

    def place(self, point: Point) -> str:
        """Put a blank reading at a place of the plan."""
        plan = self._document.settled_plan
        made = replace(self._blank(plan), id=fresh_number(plan.checking, "reading"), x=point[0], y=point[1])
        self._document.apply("Place a reading", replace(plan, checking=with_entry(plan.checking, made)))
        return ""

    def paste(self, text: str) -> str:
        """Take readings from a pasted table."""
        plan = self._document.settled_plan
        try:
            found = read_pasted(text, plan.checking.readings, self._blank(plan), units_of(plan))
        except PasteError as problem:
            return str(problem)
        checking = plan.checking
        for reading in found:
            is_new = reading.id.startswith("new-")
            checking = with_entry(
                checking, replace(reading, id=fresh_number(checking, "reading")) if is_new else reading
            )
        self._document.apply("Paste readings", replace(plan, checking=checking))
        return ""

    def type_in(self, row: int, is_dark: bool, text: str) -> str:
        """Take a reading, or a lights-off reading, that was typed into a row."""
        plan = self._document.settled_plan
        units, reading = units_of(plan), plan.checking.readings[row]
        try:
            lux = parse_illuminance(text, units) if text else None
        except UnitError as problem:
            return str(problem)
        if is_dark:
            changed = replace(reading, dark_lux=lux or 0.0)
        else:
            now = datetime.now().isoformat(" ", "minutes")
            changed = replace(reading, lux=lux, taken=now, unit="fc" if units is UnitSystem.US else "lx")
        self._document.apply("Type a reading", replace(plan, checking=with_entry(plan.checking, changed)))
        return ""

    def remove(self, rows: Sequence[int]) -> str:
        """Remove the readings in these rows."""
        plan = self._document.settled_plan
        if not rows:
            return "Choose lines of the table first."
        checking = plan.checking
        for row in rows:
            checking = without_entry(checking, plan.checking.readings[row].id)
        self._document.apply("Remove readings", replace(plan, checking=checking))
        return ""

    def _blank(self, plan: Plan) -> MeterReading:
        levels = tuple((letter, share) for letter, share in self._reading.levels.items() if share > 0.0)
        return MeterReading(
            "new",
            0.0,
            0.0,
            plan.work_plane,
            levels=levels,
            combination=setting_name(plan, dict(levels)),
            unit="lx" if plan.units == "metric" else "fc",
            lamps=self.lamps,
        )
