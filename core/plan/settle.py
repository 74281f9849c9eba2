"""Positions are kept to a nanometre: lengths add up exactly, and a move there and back changes nothing."""

from __future__ import annotations

from core.plan.room import Point

__all__ = ["settled", "settled_point"]

_DECIMALS = 9


def settled(value: float) -> float:
    """Return a length [m] or angle [degree] rounded to 9 decimals, without a negative zero."""
    return round(value, _DECIMALS) + 0.0


def settled_point(point: Point) -> Point:
    """Return a point with both coordinates settled."""
    return settled(point[0]), settled(point[1])
