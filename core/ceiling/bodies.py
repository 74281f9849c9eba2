"""What fills space under the ceiling, as upright prisms: fixture bodies, keep-outs, doors, furniture.

The free distance between two prisms is the larger of their distance on the plan and their distance in height; where
they overlap in both it is negative: the shortest way sideways or up and down to get them apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from core.plan import Fixture, Furniture, KeepOut, Opening, Plan, Point, Room, box_corners

__all__ = ["Body", "apart", "door_leaf", "fixture_body", "furniture_body", "keep_out_body", "overhead_door"]

_ROUND_SIDES = 32
_SWING_STEPS = 12


@dataclass(frozen=True, slots=True)
class Body:
    """An upright prism over a convex plan outline, between two heights above the floor [m]."""

    outline: tuple[Point, ...]
    low: float
    high: float

    @property
    def shape(self) -> shapely.Polygon:
        """The outline as a polygon."""
        return shapely.Polygon(self.outline)


def fixture_body(plan: Plan, fixture: Fixture) -> Body:
    """Return the body of a fixture; a recessed one shows only its rim below the ceiling."""
    model = plan.model(fixture.model)
    is_round = model.opening == "round" and math.isclose(model.length, model.width, rel_tol=0.02)
    outline = (
        _circle(fixture.x, fixture.y, model.length / 2)
        if is_round
        else box_corners(fixture.x, fixture.y, model.length, model.width, fixture.rotation_deg)
    )
    if fixture.height is not None:
        return Body(outline, fixture.height, fixture.height + model.body_height)
    top = plan.room.height - (0.0 if model.mounting == "recessed" else fixture.drop)
    return Body(outline, plan.opening_height(fixture), top)


def keep_out_body(room: Room, item: KeepOut) -> Body:
    """Return a keep-out; one without a drop lies flush and blocks everything that touches the ceiling."""
    outline = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    return Body(outline, room.height - item.drop, room.height)


def furniture_body(item: Furniture) -> Body:
    """Return a bench, machine or cabinet."""
    return Body(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg), item.bottom, item.top)


def overhead_door(room: Room, door: Opening, side: float, headroom: float) -> Body:
    """Return the space that an open overhead door, its tracks and springs take.

    The sheet hangs at the height of the door's head and reaches the door's height back into the room; ``side`` [m] is
    the room for the tracks beside it, ``headroom`` [m] that for springs and tracks above it.
    """
    (ax, ay), (ux, uy), (nx, ny) = _wall_frame(room, door)
    start, end = door.start - side, door.start + door.width + side
    corners = [(start, 0.0), (end, 0.0), (end, door.height), (start, door.height)]
    outline = tuple((ax + s * ux + d * nx, ay + s * uy + d * ny) for s, d in corners)
    head = min(door.sill + door.height, room.height)
    return Body(outline, head, min(head + headroom, room.height))


def door_leaf(room: Room, door: Opening) -> Body:
    """Return the space that a hinged door sweeps when it opens into the room by a right angle."""
    (ax, ay), (ux, uy), (nx, ny) = _wall_frame(room, door)
    hinge, way = (door.start, 1.0) if door.hinge == "start" else (door.start + door.width, -1.0)
    swing = [math.pi / 2 * step / _SWING_STEPS for step in range(_SWING_STEPS + 1)]
    arc = [(hinge + way * door.width * math.cos(t), door.width * math.sin(t)) for t in swing]
    outline = tuple((ax + s * ux + d * nx, ay + s * uy + d * ny) for s, d in [(hinge, 0.0), *arc])
    return Body(outline, door.sill, door.sill + door.height)


def apart(one: Body, other: Body) -> tuple[float, float, Point]:
    """Return how far two prisms are apart on the plan and in height [m], and the way that parts them on the plan.

    Either distance is negative where they overlap. The way is a unit vector along which ``one`` would have to move.
    """
    height = max(one.low - other.high, other.low - one.high)
    flat, way = _apart_on_plan(one, other)
    return flat, height, way


def _apart_on_plan(one: Body, other: Body) -> tuple[float, Point]:
    shape, obstacle = one.shape, other.shape
    distance = float(shape.distance(obstacle))
    if distance > 0.0:
        near = shapely.shortest_line(obstacle, shape)
        (ax, ay), (bx, by) = near.coords
        return distance, ((bx - ax) / distance, (by - ay) / distance)
    return _overlap(np.array(one.outline), np.array(other.outline))


def _overlap(one: np.ndarray, other: np.ndarray) -> tuple[float, Point]:
    """Return the least overlap of two convex outlines over all directions of their sides (separating axes)."""
    best, way = -math.inf, (1.0, 0.0)
    for outline in (one, other):
        for side in np.roll(outline, -1, axis=0) - outline:
            normal = np.array([-side[1], side[0]]) / np.hypot(*side)
            mine, theirs = one @ normal, other @ normal
            for sign, gap in ((1.0, mine.min() - theirs.max()), (-1.0, theirs.min() - mine.max())):
                if gap > best:
                    best, way = float(gap), (float(sign * normal[0]), float(sign * normal[1]))
    return best, way


def _circle(x: float, y: float, radius: float) -> tuple[Point, ...]:
    turns: Sequence[float] = [2 * math.pi * n / _ROUND_SIDES for n in range(_ROUND_SIDES)]
    return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)


def _wall_frame(room: Room, opening: Opening) -> tuple[Point, Point, Point]:
    a, b = room.wall(opening.wall)
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    return a, (ux, uy), (-uy, ux)
