"""The centre lines of the joists as they run through the room, for drawing and for snapping."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import shapely

from core.ceiling.joists import joist_normal
from core.plan import JoistZone, Plan, Point, Room

__all__ = ["first_from_wall", "joist_segments", "new_zone", "offset_for_first", "spans_short_way"]

_MOST_LINES = 600
_LEAST_AREA = 1e-4  # m2
_SEAM = 1e-6  # m


def joist_segments(plan: Plan) -> tuple[tuple[Point, Point], ...]:
    """Return the two ends of every piece of joist that lies over the room [m]."""
    return _segments(plan.room.outline, plan.room.joists)


@lru_cache(maxsize=8)
def _segments(outline: tuple[Point, ...], zones: tuple[JoistZone, ...]) -> tuple[tuple[Point, Point], ...]:
    if len(outline) < 3:
        return ()
    room = shapely.Polygon(outline)
    parts = [(zone, _areas(room & shapely.Polygon(zone.outline)) if zone.outline else room) for zone in zones]
    found: list[tuple[Point, Point]] = []
    drawn_over = shapely.Polygon()
    # A zone with an outline of its own lies over one for the whole room, a later one over an earlier one.
    own, whole = [p for p in parts if p[0].outline], [p for p in parts if not p[0].outline]
    for zone, shape in (*reversed(own), *whole):
        # A joist on the seam of two zones belongs to the upper one alone.
        free = _areas(shape.difference(drawn_over.buffer(_SEAM, join_style="mitre")))
        drawn_over = _areas(drawn_over.union(shape))
        found += _within(zone, free)
    return tuple(found)


def _areas(shape: shapely.Geometry) -> shapely.Geometry:
    """Return what of a shape has an area: edges that only touch are no ground for joists."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > _LEAST_AREA]
    return shapely.union_all(parts) if parts else shapely.Polygon()


def _within(zone: JoistZone, shape: shapely.Geometry) -> Iterator[tuple[Point, Point]]:
    if shape.is_empty:
        return
    nx, ny = joist_normal(zone)
    corners = shapely.get_coordinates(shape)
    across = corners[:, 0] * nx + corners[:, 1] * ny
    along = corners[:, 0] * -ny + corners[:, 1] * nx
    first = math.ceil((float(across.min()) - zone.offset) / zone.spacing - 1e-9)
    last = math.floor((float(across.max()) - zone.offset) / zone.spacing + 1e-9)
    low, high = float(along.min()) - 1.0, float(along.max()) + 1.0
    for number in range(first, min(last, first + _MOST_LINES) + 1):
        at = zone.offset + number * zone.spacing
        ends = [(at * nx - way * ny, at * ny + way * nx) for way in (low, high)]
        for piece in shapely.get_parts(shapely.LineString(ends).intersection(shape)):
            if piece.geom_type == "LineString" and piece.length > 0.01:
                (ax, ay), (bx, by) = piece.coords
                yield (ax, ay), (bx, by)


def spans_short_way(room: Room) -> float:
    """Return the direction in which joists usually run: across the shorter extent of the room [degree]."""
    xs, ys = [x for x, _ in room.outline], [y for _, y in room.outline]
    return 0.0 if max(xs) - min(xs) <= max(ys) - min(ys) else 90.0


def new_zone(plan: Plan, identity: str, outline: tuple[Point, ...] = ()) -> JoistZone:
    """Return joists 16 in on centre over the whole room, or over a part; the first one lies along the wall."""
    zone = JoistZone(identity, spans_short_way(plan.room), outline=outline)
    return JoistZone(
        identity,
        zone.direction_deg,
        zone.spacing,
        offset_for_first(plan.room, zone, zone.joist_width / 2),
        outline=outline,
    )


def first_from_wall(room: Room, zone: JoistZone) -> float:
    """Return how far the first joist's centre is from the wall at the left, or in front, of the sheet [m]."""
    return (zone.offset - _wall_at(room, zone)) % zone.spacing


def offset_for_first(room: Room, zone: JoistZone, distance: float) -> float:
    """Return the offset that puts a joist's centre this far from that wall [m]."""
    return round(_wall_at(room, zone) + distance, 9)


def _wall_at(room: Room, zone: JoistZone) -> float:
    nx, ny = joist_normal(zone)
    return min((x * nx + y * ny for x, y in room.outline), default=0.0)
