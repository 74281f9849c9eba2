"""What lies under a point or within a box of the plan: pure, with the reach given in metres."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.canvas.footprints import Box, Drawn, centre_of, corners_of, drawn_things, rotation_of, size_of
from core.plan import Plan, Point

__all__ = [
    "corner_under",
    "distance_to_segment",
    "picture_under",
    "thing_under",
    "things_under",
    "things_within",
    "wall_under",
]


def things_under(plan: Plan, point: Point, reach: float) -> list[str]:
    """Return the ids of all things within reach of a point; what covers it outright comes first, then
    drawing order."""
    near = [(_gap(plan, thing, point), thing.id) for thing in drawn_things(plan)]
    covering = [identity for gap, identity in near if gap <= 0.0]
    return covering + [identity for gap, identity in sorted(near) if 0.0 < gap <= reach]


def thing_under(plan: Plan, point: Point, reach: float) -> str | None:
    """Return the id of the topmost thing within reach of a point."""
    found = things_under(plan, point, reach)
    return found[0] if found else None


def picture_under(plan: Plan, point: Point) -> str | None:
    """Return the id of the picture underneath where a point lies on it."""
    underlay = plan.underlay
    return underlay.id if underlay is not None and _gap(plan, underlay, point) <= 0.0 else None


def things_within(plan: Plan, box: Box) -> frozenset[str]:
    """Return the ids of the things that lie wholly in a box."""
    x0, y0, x1, y1 = box
    return frozenset(
        thing.id
        for thing in drawn_things(plan)
        if all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in corners_of(plan, thing))
    )


def corner_under(outline: Sequence[Point], point: Point, reach: float) -> int | None:
    """Return the index of the nearest corner within reach."""
    near = [(math.dist(corner, point), index) for index, corner in enumerate(outline)]
    distance, index = min(near, default=(math.inf, 0))
    return index if distance <= reach else None


def wall_under(outline: Sequence[Point], point: Point, reach: float) -> int | None:
    """Return the index of the nearest wall within reach."""
    walls = zip(outline, [*outline[1:], *outline[:1]], strict=True)
    near = [(distance_to_segment(point, a, b), index) for index, (a, b) in enumerate(walls)]
    distance, index = min(near, default=(math.inf, 0))
    return index if distance <= reach else None


def distance_to_segment(point: Point, a: Point, b: Point) -> float:
    """Return the distance of a point from the straight piece ``a``-``b`` [m]."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    along = 0.0 if square == 0.0 else ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square
    along = min(1.0, max(0.0, along))
    return math.dist(point, (a[0] + along * dx, a[1] + along * dy))


def _gap(plan: Plan, thing: Drawn, point: Point) -> float:
    """Return how far a point lies outside of a thing's box; 0 or less within it [m]."""
    cx, cy = centre_of(plan, thing)
    width, depth = size_of(plan, thing)
    turn = math.radians(rotation_of(plan, thing))
    dx, dy = point[0] - cx, point[1] - cy
    along = abs(dx * math.cos(turn) + dy * math.sin(turn)) - width / 2
    across = abs(dy * math.cos(turn) - dx * math.sin(turn)) - depth / 2
    if along <= 0.0 and across <= 0.0:
        return max(along, across)
    return math.hypot(max(along, 0.0), max(across, 0.0))
