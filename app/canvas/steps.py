"""Round steps for grid and rulers in feet-inches or metres, chosen by how many pixels they take."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from core.units import FOOT, INCH, UnitSystem

__all__ = ["NUDGES", "ruler_steps", "snap_step", "ticks"]

LABEL_PX = 54.0
"""A ruler's label and the gap beside it."""
SNAP_PX = 6.0
"""The finest grid that a hand can still aim at."""

_RULER_US = (
    (INCH, INCH / 4),
    (3 * INCH, INCH),
    (6 * INCH, INCH),
    (FOOT, 3 * INCH),
    (2 * FOOT, 6 * INCH),
    (5 * FOOT, FOOT),
    (10 * FOOT, 2 * FOOT),
    (20 * FOOT, 5 * FOOT),
    (50 * FOOT, 10 * FOOT),
    (100 * FOOT, 20 * FOOT),
    (200 * FOOT, 50 * FOOT),
)
_RULER_METRIC = (
    (0.02, 0.01),
    (0.05, 0.01),
    (0.1, 0.02),
    (0.2, 0.05),
    (0.5, 0.1),
    (1.0, 0.25),
    (2.0, 0.5),
    (5.0, 1.0),
    (10.0, 2.0),
    (20.0, 5.0),
    (50.0, 10.0),
)
_SNAP_US = (INCH / 4, INCH, 3 * INCH, 6 * INCH, FOOT, 2 * FOOT, 5 * FOOT, 10 * FOOT)
_SNAP_METRIC = (0.01, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0)

NUDGES = {UnitSystem.US: (INCH, FOOT, INCH / 4), UnitSystem.METRIC: (0.01, 0.1, 0.001)}
"""How far an arrow key moves the selection [m]: alone, with Shift, with Ctrl."""


def ruler_steps(units: UnitSystem, px_per_metre: float) -> tuple[float, float]:
    """Return the steps of labels and of plain ticks [m]."""
    pairs = _RULER_US if units is UnitSystem.US else _RULER_METRIC
    return next((pair for pair in pairs if pair[0] * px_per_metre >= LABEL_PX), pairs[-1])


def snap_step(units: UnitSystem, px_per_metre: float) -> float:
    """Return the step of the grid that points snap to [m]."""
    steps = _SNAP_US if units is UnitSystem.US else _SNAP_METRIC
    return next((step for step in steps if step * px_per_metre >= SNAP_PX), steps[-1])


def ticks(low: float, high: float, step: float) -> Iterator[float]:
    """Go through the multiples of a step from ``low`` to ``high`` [m]."""
    for number in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1):
        yield number * step
