"""Blank rooms to begin from."""

from __future__ import annotations

from core.plan import Finish, Group, Plan, Room
from core.units import FOOT, INCH

__all__ = ["TEMPLATES", "blank"]

# Name, width and depth, ceiling height. Ordinary sizes, to be drawn over (common practice, no source).
_ROOMS: dict[str, tuple[float, float, float]] = {
    "Garage": (20 * FOOT, 22 * FOOT, 9 * FOOT),
    "Basement": (14 * FOOT, 20 * FOOT, 7 * FOOT + 6 * INCH),
    "Barn": (30 * FOOT, 40 * FOOT, 14 * FOOT),
    "Attic": (12 * FOOT, 24 * FOOT, 7 * FOOT),
}
TEMPLATES = tuple(_ROOMS)


def blank(name: str, units: str = "US") -> Plan:
    """Return a plan with an empty room of a common size, and one switch."""
    width, depth, height = (round(value, 9) for value in _ROOMS[name])
    room = Room(
        outline=((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)),
        height=height,
        ceiling=Finish("flat white paint", 0.80),
        walls=Finish("light paint", 0.60),
        floor=Finish("bare concrete", 0.25),
    )
    return Plan(
        name=name, room=room, groups=(Group("A", "Switch A"),), units="metric" if units == "metric" else "US"
    )
