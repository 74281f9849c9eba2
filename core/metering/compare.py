"""Predicted against measured: residuals, bias and spread, and what could explain a reading that does not fit.

A reading that does not fit is tried against the slips that happen: two readings exchanged, a decimal point,
foot-candles for lux, two digits exchanged, another switch setting, a lamp that is out. The first that brings it
back within three times the scatter of the others is named; if none does, that is said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from core.light.grid import FloatArray
from core.metering.fit import Factor, fit_factor
from core.metering.predict import shares_of
from core.plan import Plan
from core.plan.checking import MeterReading
from core.units import LUX_PER_FC

__all__ = ["Comparison", "Row", "compare", "usable"]

WITHIN = 3.0
LEAST_SLIP = 0.02
LOOSELY = 0.12
"""A slip of ten times is believed if it brings a reading back to within this share (common practice, no source)."""
MOST_GROUPS = 6
_SLIPS = (
    (10.0, "a decimal point: ten times as much fits"),
    (0.1, "a decimal point: a tenth of it fits"),
    (LUX_PER_FC, "foot-candles typed as lux: it fits in foot-candles"),
    (1.0 / LUX_PER_FC, "lux typed as foot-candles: it fits in lux"),
)


@dataclass(frozen=True, slots=True)
class Row:
    """One reading: what was measured (lights-off reading subtracted) and predicted [lx], their ratio to the common
    factor less 1, and, where it does not fit, why that may be."""

    reading: MeterReading
    measured: float
    predicted: float
    residual: float
    is_odd: bool
    why: str


@dataclass(frozen=True)
class Comparison:
    """All readings against the plan. ``bias`` is factor - 1, ``spread`` the scatter of one reading, both shares."""

    rows: tuple[Row, ...]
    factor: Factor

    @property
    def bias(self) -> float:
        """How much more (or less) is measured than predicted."""
        return self.factor.value - 1.0

    @property
    def spread(self) -> float:
        """Scatter of a single reading about the factor."""
        return self.factor.scatter


def usable(readings: Sequence[MeterReading]) -> list[MeterReading]:
    """Return the readings of the planned lamps that were taken and hold light: filled in, more than the lights-off
    reading, a switch on."""
    return [
        reading
        for reading in readings
        if reading.lamps == "planned"
        and reading.net_lux is not None
        and reading.net_lux > 0.0
        and any(share > 0.0 for _, share in reading.levels)
    ]


def compare(plan: Plan, readings: Sequence[MeterReading], parts: FloatArray) -> Comparison:
    """Compare readings with the plan.

    Parameters
    ----------
    readings
        Those of `usable`.
    parts : (readings, fixtures)
        From `core.metering.predict.predicted_parts` [lx].

    Raises
    ------
    ValueError
        With too few readings; a sentence for the user.
    """
    shares = shares_of(plan, readings)
    predicted = (parts * shares).sum(axis=1)
    measured = np.array([reading.net_lux or 0.0 for reading in readings])
    factor = fit_factor(measured, predicted)
    judge = _Judge(plan, readings, parts, shares, measured, predicted, factor)
    rows = [
        Row(
            reading,
            float(measured[k]),
            float(predicted[k]),
            float(math.expm1(factor.residuals[k])),
            bool(factor.odd[k]),
            judge.why(k) if factor.odd[k] else "",
        )
        for k, reading in enumerate(readings)
    ]
    return Comparison(tuple(rows), factor)


@dataclass(frozen=True)
class _Judge:
    plan: Plan
    readings: Sequence[MeterReading]
    parts: FloatArray
    shares: FloatArray
    measured: FloatArray
    predicted: FloatArray
    factor: Factor

    def why(self, k: int) -> str:
        """Return the first slip that explains reading k, in words."""
        for explain in (self._exchanged, self._slipped, self._digits, self._switches, self._lamp_out):
            words = explain(k)
            if words:
                return f"Perhaps {words}."
        return "No slip that the program knows explains it: read it again."

    def _fits(self, measured: float, predicted: float) -> bool:
        if measured <= 0.0 or predicted <= 0.0:
            return False
        return self._off(measured, predicted) <= self._allowed

    @property
    def _allowed(self) -> float:
        return WITHIN * max(self.factor.scatter, LEAST_SLIP / WITHIN)

    def _off(self, measured: float, predicted: float) -> float:
        return abs(math.log(measured / predicted / self.factor.value))

    def _exchanged(self, k: int) -> str:
        for other in np.flatnonzero(self.factor.odd):
            crossed = self._fits(self.measured[k], self.predicted[other])
            if other != k and crossed and self._fits(self.measured[other], self.predicted[k]):
                return f"exchanged with the reading at point {self.readings[int(other)].id}"
        return ""

    def _slipped(self, k: int) -> str:
        off, words = min((self._off(self.measured[k] * times, self.predicted[k]), words) for times, words in _SLIPS)
        # Ten times is so far that the nearest such slip is believed though the reading itself scatters widely.
        return words if off <= max(self._allowed, LOOSELY) else ""

    def _digits(self, k: int) -> str:
        reading = self.readings[k]
        unit = LUX_PER_FC if reading.unit == "fc" else 1.0
        typed = f"{(reading.lux or 0.0) / unit:.10g}"
        for n in range(len(typed) - 1):
            turned = typed[:n] + typed[n + 1] + typed[n] + typed[n + 2 :]
            if "." in typed[n : n + 2] or turned == typed:
                continue
            if self._fits(float(turned) * unit - reading.dark_lux, self.predicted[k]):
                return f"two digits exchanged: {turned} fits"
        return ""

    def _switches(self, k: int) -> str:
        letters = sorted({fixture.group for fixture in self.plan.fixtures})
        if len(letters) > MOST_GROUPS:
            return ""
        now = dict(self.readings[k].levels)
        for ways in product((1.0, 0.0), repeat=len(letters)):
            levels = dict(zip(letters, ways, strict=True))
            if all(levels[letter] == now.get(letter, 0.0) for letter in letters):
                continue
            share = np.array([levels[fixture.group] for fixture in self.plan.fixtures])
            if self._fits(self.measured[k], float(self.parts[k] @ share)):
                on = ", ".join(letter for letter in letters if levels[letter])
                return f"another switch setting: with {on} on and no other it fits"
        return ""

    def _lamp_out(self, k: int) -> str:
        for number, fixture in enumerate(self.plan.fixtures):
            without = self.predicted[k] - self.parts[k, number] * self.shares[k, number]
            if self.shares[k, number] > 0.0 and self._fits(self.measured[k], without):
                name = fixture.name or f"{self.plan.model(fixture.model).name} ({fixture.id})"
                return f"a lamp that is out: without {name} it fits"
        return ""
