"""The two walls that every distance is taken from.

A place on the ceiling is given by its distances square off two walls. An error e in each of them moves the place by
up to e / sin(angle/2) for lines that meet at an acute angle: at 45 degrees 2.6 e, so that marks rounded to 1/16 in
(e = 1/32 in) stay within 1/8 in, and a flatter pair is refused. The distances run from the walls' faces themselves,
never from mark to mark, so that no errors add up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from core.plan import Plan, Point, Room

__all__ = [
    "FLATTEST",
    "Reference",
    "WallPairError",
    "chosen_reference",
    "pair_problem",
    "reference_of",
    "suggested_pair",
    "wall_name",
]

FLATTEST = 45.0
"""Least angle between the two walls [degree]; 180 minus it is the largest."""
_BEHIND = 0.001
_ROUNDING = 1e-6


class WallPairError(ValueError):
    """Two walls that no distances can be taken from; the text says why."""


@dataclass(frozen=True, slots=True)
class Reference:
    """Two wall lines: a point of each, its direction, and the inward normal, all in the plan's frame [m].

    ``names`` are what the walls are called on the sheet, ``angle_deg`` the angle between them, as seen from
    inside the room.
    """

    wall_a: int
    wall_b: int
    names: tuple[str, str]
    origins: tuple[Point, Point]
    normals: tuple[Point, Point]
    angle_deg: float

    def distances(self, point: Point) -> tuple[float, float]:
        """Return the distances of a point square off wall A and wall B [m], negative behind a wall's line."""
        first, second = (
            (point[0] - o[0]) * n[0] + (point[1] - o[1]) * n[1] for o, n in zip(self.origins, self.normals, strict=True)
        )
        return first, second

    def point(self, from_a: float, from_b: float) -> Point:
        """Return the point with these distances from the two walls [m]."""
        (ax, ay), (bx, by) = self.normals
        (ox, oy), (px, py) = self.origins
        a, b = from_a + ox * ax + oy * ay, from_b + px * bx + py * by
        turn = ax * by - ay * bx
        return (a * by - b * ay) / turn, (b * ax - a * bx) / turn

    @property
    def corner(self) -> Point:
        """Where the two wall lines meet: the sheet's one zero."""
        return self.point(0.0, 0.0)


def reference_of(outline: Sequence[Point], wall_a: int, wall_b: int) -> Reference:
    """Return the reference that two walls of an outline make.

    Raises
    ------
    WallPairError
        If they are one wall, not there, or meet flatter than 45 degrees.
    """
    problem = pair_problem(outline, wall_a, wall_b)
    if problem is not None:
        raise WallPairError(problem)
    ends = [(outline[w], outline[(w + 1) % len(outline)]) for w in (wall_a, wall_b)]
    ways = [_direction(a, b) for a, b in ends]
    return Reference(
        wall_a,
        wall_b,
        (wall_name(outline, wall_a), wall_name(outline, wall_b)),
        (ends[0][0], ends[1][0]),
        # The room lies to the left of a wall.
        ((-ways[0][1], ways[0][0]), (-ways[1][1], ways[1][0])),
        180.0 - _angle(ways[0], ways[1]),
    )


def pair_problem(outline: Sequence[Point], wall_a: int, wall_b: int) -> str | None:
    """Say why two walls cannot be the reference; None where they can."""
    count = len(outline)
    if not (0 <= wall_a < count and 0 <= wall_b < count):
        return "One of the reference walls is no longer there; choose two walls anew."
    if wall_a == wall_b:
        return "Distances need two different walls."
    ways = [_direction(outline[w], outline[(w + 1) % count]) for w in (wall_a, wall_b)]
    angle = _angle(ways[0], ways[1])
    if FLATTEST - _ROUNDING <= angle <= 180.0 - FLATTEST + _ROUNDING:
        return None
    names = f"{wall_name(outline, wall_a)} and {wall_name(outline, wall_b)}"
    flat = min(angle, 180.0 - angle)
    if flat < 1.0:
        return f"{names} run side by side, so they give one direction only; choose two walls that meet."
    return (
        f"{names} meet at {flat:.0f}°, flatter than {FLATTEST:.0f}°: a mark 1/32 in off on each would put the box"
        f" {1 / 32 / math.sin(math.radians(flat / 2)):.2f} in off. Choose two walls that meet more squarely."
    )


def suggested_pair(room: Room, points: Sequence[Point] = ()) -> tuple[int, int]:
    """Return the two walls that suit best: long, square to each other, without wide doors, nothing behind them.

    Raises
    ------
    WallPairError
        If no two walls of the room meet between 45 and 135 degrees.
    """
    best: tuple[float, int, int] | None = None
    for one, other in combinations(range(len(room.outline)), 2):
        if pair_problem(room.outline, one, other) is not None:
            continue
        rated = _suits(room, reference_of(room.outline, one, other), points)
        if best is None or rated > best[0] + _ROUNDING:
            best = (rated, one, other)
    if best is None:
        raise WallPairError("No two walls of this room meet between 45° and 135°.")
    one, other = best[1], best[2]
    # A is the longer of the two: its chalk lines are the long ones.
    return (one, other) if _free_length(room, one) >= _free_length(room, other) - _ROUNDING else (other, one)


def chosen_reference(
    plan: Plan, outline: Sequence[Point], points: Sequence[Point] = (), walls: tuple[int, int] | None = None
) -> tuple[Reference, str]:
    """Return the reference on the real outline, and a remark where the plan's own choice cannot be used.

    ``walls`` goes before the plan's choice, and is refused where it cannot be used.

    Raises
    ------
    WallPairError
        If ``walls`` cannot be used, or there is no usable pair at all.
    """
    if walls is not None:
        return reference_of(outline, *walls), ""
    remark = ""
    pair = plan.ceiling.reference_walls
    if pair is not None:
        problem = pair_problem(outline, *pair)
        if problem is None:
            return reference_of(outline, *pair), ""
        remark = f"{problem} The sheet uses other walls meanwhile."
    return reference_of(outline, *suggested_pair(plan.room, points)), remark


def wall_name(outline: Sequence[Point], wall: int) -> str:
    """Name a wall by the side of the sheet it is on and its corners: `left wall (4–1)`."""
    count = len(outline)
    (ax, ay), (bx, by) = outline[wall], outline[(wall + 1) % count]
    # The outward normal tells the side: the room lies to the left of a wall.
    nx, ny = by - ay, ax - bx
    if abs(abs(nx) - abs(ny)) < 0.4 * max(abs(nx), abs(ny)):
        side = f"{'back' if ny > 0 else 'front'} {'right' if nx > 0 else 'left'}"
    elif abs(nx) > abs(ny):
        side = "right" if nx > 0 else "left"
    else:
        side = "back" if ny > 0 else "front"
    return f"{side} wall ({wall + 1}–{(wall + 1) % count + 1})"


def _direction(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _angle(one: Point, other: Point) -> float:
    return math.degrees(math.acos(max(-1.0, min(1.0, one[0] * other[0] + one[1] * other[1]))))


def _free_length(room: Room, wall: int) -> float:
    """Return the length of a wall without its overhead doors, which give no face to measure from [m]."""
    doors = sum(o.width for o in room.openings if o.wall == wall and o.kind == "overhead door")
    return max(math.dist(*room.wall(wall)) - doors, 0.0)


def _suits(room: Room, reference: Reference, points: Sequence[Point]) -> float:
    lengths = _free_length(room, reference.wall_a) * _free_length(room, reference.wall_b)
    meet = abs(reference.wall_a - reference.wall_b) in (1, len(room.outline) - 1)
    behind = sum(min(reference.distances(point)) < _BEHIND for point in points)
    square = math.sin(math.radians(reference.angle_deg)) ** 4
    return math.sqrt(lengths) * square * (1.0 if meet else 0.6) / (1.0 + behind)
