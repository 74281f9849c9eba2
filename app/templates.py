"""Blank rooms to begin from."""

from __future__ import annotations

from dataclasses import replace

from core.catalogue import blank_plan
from core.plan import Plan
from core.units import FOOT, INCH

__all__ = ["TEMPLATES", "blank"]

# Width, depth and ceiling height. Ordinary sizes, to be drawn over (common practice, no source).
_ROOMS: dict[str, tuple[float, float, float]] = {
    "Garage": (20 * FOOT, 22 * FOOT, 9 * FOOT),
    "Basement": (20 * FOOT, 14 * FOOT, 7 * FOOT + 6 * INCH),
    "Barn": (40 * FOOT, 30 * FOOT, 14 * FOOT),
    "Attic": (24 * FOOT, 12 * FOOT, 7 * FOOT),
}
TEMPLATES = tuple(_ROOMS)


def blank(name: str, units: str = "US") -> Plan:
    """Return a plan with an empty room of a common size, and one switch."""
    width, depth, height = (round(value, 9) for value in _ROOMS[name])
    plan = blank_plan(name)
    outline = ((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth))
    room = replace(plan.room, outline=outline, height=height)
    return replace(plan, room=room, units="metric" if units == "metric" else "US")
