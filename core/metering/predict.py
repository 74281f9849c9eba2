"""What the plan predicts for each meter reading: initial light, fixture by fixture, on the sensor's plane."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from core.light.engine import LightEngine
from core.light.grid import FloatArray
from core.plan import Plan
from core.plan.checking import MeterReading

__all__ = ["predicted_parts", "sensor_normal", "shares_of"]


def sensor_normal(reading: MeterReading) -> FloatArray:
    """Return the unit vector along which the sensor looks, (3,)."""
    tilt, azimuth = math.radians(reading.tilt_deg), math.radians(reading.azimuth_deg)
    return np.array([math.sin(tilt) * math.cos(azimuth), math.sin(tilt) * math.sin(azimuth), math.cos(tilt)])


def shares_of(plan: Plan, readings: Sequence[MeterReading]) -> FloatArray:
    """Return the level of each fixture at each reading, (readings, fixtures)."""
    rows = [[dict(reading.levels).get(fixture.group, 0.0) for fixture in plan.fixtures] for reading in readings]
    return np.array(rows, dtype=float).reshape(len(readings), len(plan.fixtures))


def predicted_parts(
    plan: Plan,
    readings: Sequence[MeterReading],
    engine: LightEngine,
    cancelled: Callable[[], bool] | None = None,
) -> FloatArray:
    """Return what each fixture alone would give at full level at each reading, (readings, fixtures) [lx]."""
    points = np.array([(reading.x, reading.y, reading.height) for reading in readings]).reshape(-1, 3)
    normals = np.array([sensor_normal(reading) for reading in readings]).reshape(-1, 3)
    return engine.receive(plan, points, normals, cancelled=cancelled)
