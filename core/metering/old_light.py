"""The survey before: readings under the old lamps, beside what the plan promises at the same places.

Old lamps are not on the plan, so their readings say nothing about the prediction; they say what the new light gains.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from core.checks.finding import Wording
from core.light.engine import LightEngine
from core.metering.predict import predicted_parts
from core.plan import Plan
from core.plan.checking import MeterReading

__all__ = ["Gain", "OldLight", "of_old_lamps", "old_light"]


@dataclass(frozen=True, slots=True)
class Gain:
    """One reading of the old light and what the plan gives there with everything on [lx]."""

    reading: MeterReading
    measured: float
    planned: float

    @property
    def times(self) -> float:
        """How many times as much the plan gives; infinite where there was nothing."""
        return self.planned / self.measured if self.measured > 0.0 else float("inf")


@dataclass(frozen=True)
class OldLight:
    """The survey: reading by reading, and in words."""

    rows: tuple[Gain, ...]

    def words(self, plan: Plan) -> str:
        """Return the outcome in a sentence."""
        wording = Wording(plan, "")
        measured = [row.measured for row in self.rows]
        before, after = float(np.mean(measured)), float(np.mean([row.planned for row in self.rows]))
        times = f", {after / before:.1f} times as much" if before > 0.0 else ""
        return (
            f"The old light: {wording.light(before)} on average of {len(self.rows)} readings, from "
            f"{wording.light(min(measured))} to {wording.light(max(measured))}. With everything on this plan gives "
            f"{wording.light(after)} at the same places{times}."
        )


def of_old_lamps(readings: Sequence[MeterReading]) -> list[MeterReading]:
    """Return the readings that were taken under the old lamps."""
    return [reading for reading in readings if reading.lamps == "old" and reading.net_lux is not None]


def old_light(
    plan: Plan,
    readings: Sequence[MeterReading],
    engine: LightEngine,
    cancelled: Callable[[], bool] | None = None,
) -> OldLight | None:
    """Set readings of the old light beside the plan with everything on; None where there are none."""
    old = of_old_lamps(readings)
    if not old:
        return None
    planned = predicted_parts(plan, old, engine, cancelled).sum(axis=1)
    return OldLight(
        tuple(
            Gain(reading, max(reading.net_lux or 0.0, 0.0), float(lux))
            for reading, lux in zip(old, planned, strict=True)
        )
    )
