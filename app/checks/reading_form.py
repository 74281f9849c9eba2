"""One meter reading in all its parts: place, height, direction, switches, lamps, figures, unit, time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.checks.background import setting_name
from app.checks.fields import Fields, corner_of, units_of
from app.document import Document
from app.panels.entry import Choice, Entry
from app.panels.quantity import Quantity
from app.panels.words import heading, words
from app.reading import Reading
from core.checks.findings import named_settings
from core.plan import Plan
from core.plan.checking import MeterReading, with_entry

__all__ = ["ReadingForm"]

_FAR, _MOST = 100.0, 1_000_000.0
_NOW, _KEPT = "as the switches are now", "as it was read"
_Levels = tuple[str, tuple[tuple[str, float], ...]]


class ReadingForm(QWidget):
    """Shows the reading with the id `shown`; each entry is one step of undo."""

    def __init__(self, document: Document, reading: Reading) -> None:
        super().__init__()
        self._document, self._reading = document, reading
        self._shown = ""
        self.title = heading("")
        self.empty = words("Choose a line of the table to change one reading.", "small", "muted", wrap=True)
        self.note = Entry("where", str, tip="In words, as on the walk sheet")
        self.beside, self.below = (Quantity(f"from {side}", "length", 0.0, _FAR) for side in ("the left", "below"))
        self.above = Quantity("height", "length", 0.0, 10.0, "Of the sensor above the floor")
        self.tilt = Quantity("tilt", "angle", 0.0, 180.0, "0 looks straight up, 90 sideways, 180 down")
        self.direction = Quantity("faces", "angle", -360.0, 360.0, "0 to the right of the plan, 90 up, 180 left")
        self.lamps = Choice("lamps", (("those of the plan", "planned"), ("the old ones, before", "old")))
        self.switches = Choice("switches", tip="Which were on at this reading")
        self.lux = Quantity("reading", "light", 0.0, _MOST, "What the meter showed; empty if not read", empty=True)
        self.dark = Quantity("lights off", "light", 0.0, _MOST, "At the same place with the lights off; is subtracted")
        self.unit = Choice("meter shows", (("foot-candles", "fc"), ("lux", "lx")))
        self.taken = Entry("time", str, tip="When it was read")
        self._fields = Fields(
            ("", (self.note, self.beside, self.below, self.above, self.tilt, self.direction)),
            ("What was read", (self.lamps, self.switches, self.lux, self.dark, self.unit, self.taken)),
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        for part in (self.title, self.empty, self._fields):
            column.addWidget(part)
        column.addStretch(1)
        self._connect()
        self.show_reading("")

    def _connect(self) -> None:
        for row, text, name in (
            (self.note, "Name a reading's place", "note"),
            (self.above, "Set a reading's height", "height"),
            (self.tilt, "Tilt the sensor", "tilt_deg"),
            (self.lux, "Type a reading", "lux"),
            (self.dark, "Type a lights-off reading", "dark_lux"),
            (self.taken, "Set a reading's time", "taken"),
        ):
            row.entered.connect(lambda value, t=text, n=name: self._change(t, **{n: value}))
        self.beside.entered.connect(lambda value: self._change("Move a reading", x=value + self._corner[0]))
        self.below.entered.connect(lambda value: self._change("Move a reading", y=value + self._corner[1]))
        self.direction.entered.connect(lambda v: self._change("Turn the sensor", azimuth_deg=math.fmod(v, 360.0)))
        self.lamps.chosen.connect(lambda value: self._change("Set whose light was read", lamps=value))
        self.unit.chosen.connect(lambda value: self._change("Set the meter's unit", unit=value))
        self.switches.chosen.connect(self._set_switches)

    @property
    def _corner(self) -> tuple[float, float]:
        return corner_of(self._document.plan)

    def shown(self) -> MeterReading | None:
        """Return the reading that is shown."""
        return next((r for r in self._document.plan.checking.readings if r.id == self._shown), None)

    def show_reading(self, identity: str) -> None:
        """Show another reading; '' for none."""
        self._shown = identity
        self.refresh()

    def refresh(self) -> None:
        """Show the reading as it is in the plan."""
        plan, reading = self._document.plan, self.shown()
        self.empty.setVisible(reading is None)
        for part in (self.title, self._fields):
            part.setVisible(reading is not None)
        if reading is None:
            return
        number = [r.id for r in plan.checking.readings].index(reading.id) + 1
        self.title.setText(f"Point {number}")
        self._fields.set_units(units_of(plan))
        x0, y0 = self._corner
        for row, value in (
            (self.note, reading.note),
            (self.beside, reading.x - x0),
            (self.below, reading.y - y0),
            (self.above, reading.height),
            (self.tilt, reading.tilt_deg),
            (self.direction, reading.azimuth_deg),
            (self.lux, reading.lux),
            (self.dark, reading.dark_lux),
            (self.taken, reading.taken),
        ):
            row.set_value(value)
        self.lamps.set_value(reading.lamps)
        self.unit.set_value(reading.unit)
        self._offer_switches(plan, reading)

    def _offer_switches(self, plan: Plan, reading: MeterReading) -> None:
        kept: _Levels = (reading.combination, reading.levels)
        options = [(name, (name, _lit(levels))) for name, levels in named_settings(plan)]
        if kept[1] not in [levels for _, (_, levels) in options]:
            options.insert(0, (reading.combination or setting_name(plan, dict(reading.levels)) or _KEPT, kept))
        options.append((_NOW, ("", ())))
        self.switches.set_options(options)
        self.switches.set_value(next(value for _, value in options if value[1] == kept[1]))

    def _set_switches(self, value: _Levels) -> None:
        name, levels = value
        if not levels:
            now = dict(self._reading.levels)
            name, levels = setting_name(self._document.plan, now), _lit(now)
        self._change("Set a reading's switches", combination=name, levels=levels)

    def _change(self, text: str, **values: Any) -> None:
        reading, plan = self.shown(), self._document.settled_plan
        if reading is not None:
            changed = with_entry(plan.checking, replace(reading, **values))
            self._document.apply(text, replace(plan, checking=changed))


def _lit(levels: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    return tuple((letter, float(share)) for letter, share in levels.items() if share > 0.0)
