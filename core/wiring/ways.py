"""How far a cable goes from one point above the ceiling to another: along and across the joists, within the room.

A cable runs along a joist or square to the joists (stapled or through bored holes), never slantwise, so lengths add up
as sums of the two (the rectilinear metric in the joists' frame). Where neither of the two one-bend ways stays in the
room (an L-shaped one), the shortest way bends at its corners: pulling a path taut within the room shortens it in every
norm, so the shortest rectilinear way is found among the corners that see each other (exact, by Dijkstra's method).
"""

from __future__ import annotations

import heapq
import math
from functools import lru_cache
from itertools import pairwise

import shapely

from core.ceiling.joists import joist_normal
from core.plan.room import Point, Room

__all__ = ["Ways", "ways_of"]

_TOLERANCE = 0.01
"""A cable may lie this far outside of the outline [m]: places on walls are on its very edge."""


class Ways:
    """Lengths and paths of cables above one room's ceiling."""

    def __init__(self, room: Room) -> None:
        self.angle = math.radians(_joist_direction(room))
        self._joist = room.joists[0] if room.joists else None
        self._area = shapely.Polygon(room.outline).buffer(_TOLERANCE, join_style="mitre")
        shapely.prepare(self._area)
        self._corners = room.outline
        self._corner_links: dict[int, list[tuple[int, float]]] | None = None
        self._known: dict[tuple[Point, Point], tuple[Point, ...]] = {}

    def length(self, a: Point, b: Point) -> float:
        """Return the length of the shortest way [m]."""
        path = self.path(a, b)
        return sum(self._straight(p, q) for p, q in pairwise(path))

    def path(self, a: Point, b: Point) -> tuple[Point, ...]:
        """Return the corners of the shortest way, both ends included."""
        if (a, b) not in self._known:
            self._known[a, b] = self._found(a, b)
            self._known[b, a] = self._known[a, b][::-1]
        return self._known[a, b]

    def joists_crossed(self, a: Point, b: Point) -> int:
        """Return how many joists the way from a to b crosses; 0 where no joists are drawn."""
        if self._joist is None:
            return 0
        (nx, ny), offset, spacing = joist_normal(self._joist), self._joist.offset, self._joist.spacing
        return sum(
            abs(
                math.floor((nx * q[0] + ny * q[1] - offset) / spacing)
                - math.floor((nx * p[0] + ny * p[1] - offset) / spacing)
            )
            for p, q in pairwise(self.path(a, b))
        )

    def _across(self, point: Point) -> float:
        return -math.sin(self.angle) * point[0] + math.cos(self.angle) * point[1]

    def _along(self, point: Point) -> float:
        return math.cos(self.angle) * point[0] + math.sin(self.angle) * point[1]

    def _straight(self, a: Point, b: Point) -> float:
        return abs(self._along(a) - self._along(b)) + abs(self._across(a) - self._across(b))

    def _bend(self, a: Point, b: Point) -> Point:
        """Return the point reached from a along the joists, at b's place along them."""
        along, across = self._along(b), self._across(a)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return (c * along - s * across, s * along + c * across)

    def _one_bend(self, a: Point, b: Point) -> tuple[Point, ...] | None:
        for bend in (self._bend(a, b), self._bend(b, a)):
            if self._area.covers(shapely.LineString((a, bend, b))):
                kept = [a] + [bend] * (math.dist(a, bend) > 1e-9 and math.dist(bend, b) > 1e-9) + [b]
                return tuple(kept)
        return None

    def _found(self, a: Point, b: Point) -> tuple[Point, ...]:
        direct = self._one_bend(a, b)
        if direct is not None or self._area.covers(shapely.LineString((a, b))):
            return direct or (a, b)
        legs = self._round_the_corners(a, b)
        path: list[Point] = [a]
        for p, q in pairwise(legs):
            path += (self._one_bend(p, q) or (p, q))[1:]
        return tuple(path)

    def _sees(self, a: Point, b: Point) -> bool:
        return bool(self._area.covers(shapely.LineString((a, b))))

    def _links(self) -> dict[int, list[tuple[int, float]]]:
        if self._corner_links is None:
            links: dict[int, list[tuple[int, float]]] = {n: [] for n in range(len(self._corners))}
            for n, p in enumerate(self._corners):
                for m in range(n):
                    if self._sees(p, self._corners[m]):
                        links[n].append((m, self._straight(p, self._corners[m])))
                        links[m].append((n, self._straight(p, self._corners[m])))
            self._corner_links = links
        return self._corner_links

    def _round_the_corners(self, a: Point, b: Point) -> list[Point]:
        """Dijkstra over the corners; the end is node -2. A place outside the room is joined by a straight line."""
        corners, links = self._corners, self._links()
        to_end = {n: self._straight(p, b) for n, p in enumerate(corners) if self._sees(p, b)}
        queue = [(self._straight(a, p), n, -1) for n, p in enumerate(corners) if self._sees(a, p)]
        heapq.heapify(queue)
        came: dict[int, int] = {}
        while queue:
            cost, node, before = heapq.heappop(queue)
            if node in came:
                continue
            came[node] = before
            if node == -2:
                break
            if node in to_end:
                heapq.heappush(queue, (cost + to_end[node], -2, node))
            for other, step in links[node]:
                if other not in came:
                    heapq.heappush(queue, (cost + step, other, node))
        middle, node = [], came.get(-2, -1)
        while node >= 0:
            middle.append(corners[node])
            node = came[node]
        return [a, *middle[::-1], b]


def _joist_direction(room: Room) -> float:
    if room.joists:
        return room.joists[0].direction_deg
    walls = [room.wall(index) for index in range(len(room.outline))]
    (ax, ay), (bx, by) = max(walls, key=lambda wall: math.dist(*wall))
    return math.degrees(math.atan2(by - ay, bx - ax))


@lru_cache(maxsize=4)
def ways_of(room: Room) -> Ways:
    """Return the ways above a room, kept while the room is the same."""
    return Ways(room)
