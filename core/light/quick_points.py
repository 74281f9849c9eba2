"""The points at which light is read, laid out for quick columns: single precision, few rays, and no ray anew each time.

A diffuse rectangle or disc keeps its closed form, times the share of the opening's places that a point sees; other
openings are summed over those places.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.direct import CLEAR, spread_places
from core.light.drag_tiles import intensity_along
from core.light.grid import BoolArray
from core.light.quick_forms import Single, unshadowed_upward
from core.light.receivers import UP, thinned
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.ways import may_be_hidden

__all__ = ["QuickPoints", "past"]

MOST_PLACES, FEWEST_PLACES = 16, 8
"""Places of the opening that each point is traced to: many, so that half shadows are smooth, but in a hall fewer."""
POINT_RAYS = 150_000


class QuickPoints:
    """All points of a room, those of the plane first, then of the benches.

    ``rows`` (k,) are those of the viewers ``room.seen`` that are looked at: all of the plane's mesh, every other point
    of the benches. ``starts`` (3, n) are where rays start, ``places`` their number at each point.
    """

    def __init__(self, room: RoomLight) -> None:
        self._room = room
        points = np.concatenate([room.plane.points, *(bench.points for bench in room.benches)])
        self.starts = np.ascontiguousarray((points + CLEAR * UP).T, dtype=np.float32)
        self.places = max(FEWEST_PLACES, min(MOST_PLACES, POINT_RAYS // max(1, len(points))))
        self._local = spread_places(self.places)
        mesh, first = len(room.plane.mesh), np.cumsum([len(room.plane.mesh), *(len(b.points) for b in room.benches)])
        thin = [thinned(bench) for bench in room.benches]
        rows = [np.arange(mesh), *(start + kept for start, (kept, _) in zip(first, thin, strict=False))]
        self._bench_spread = tuple(spread for _, spread in thin)
        self._row_edges = np.cumsum([len(part) for part in rows])
        self.rows = np.concatenate(rows)

    def spots(self, source: Source) -> Single:
        """Return the places of an opening that are looked at, (3, places) [m]."""
        return np.ascontiguousarray(source.places(self._local).T, dtype=np.float32)

    def unshadowed(self, source: Source, spots: Single, starts: Single) -> tuple[Single, Single | None]:
        """Return what each place gives points (3, n), (places, n) [lx], and the closed form (n,) where there is one.

        With a closed form the first are weights only.
        """
        x, y = (spots[axis][:, None] - starts[axis] for axis in (0, 1))
        rise = spots[2, 0] - starts[2]  # an opening is level
        square = x * x
        square += y * y
        square += rise * rise
        up = np.maximum(rise, np.float32(0.0))
        if source.is_diffuse:
            # Lambert's two cosines are both rise / distance, and the rise is the same for all places of a point.
            whole = unshadowed_upward(source, starts)
            factor = (1.0 - source.distribution.upward_share) / np.pi * source.lumens / self.places
            given = np.reciprocal(square * square, out=square)
            return (given, whole) if whole is not None else (given * (up * rise * np.float32(factor)), None)
        distance = np.sqrt(square)
        square *= distance
        given = intensity_along(source, (x, y, rise), distance)
        given /= square
        given *= up * np.float32(source.lumens / self.places)
        return given, None

    def straight(self, source: Source, chosen: NDArray[np.int64]) -> Single:
        """Return the direct light at some of all points (k,) [lx]; from any thread."""
        spots, starts = self.spots(source), self.starts.take(chosen, axis=1)
        given, whole = self.unshadowed(source, spots, starts)
        shades = self._room.shades_of(source)
        stopped = np.zeros(given.shape, dtype=bool)
        hemmed = np.flatnonzero(may_be_hidden(starts.T, source, shades, self.places))
        some = starts.T[hemmed]
        directions = (spots.T[:, None, :] - some[None, :, :]).reshape(-1, 3)
        rays = shades.occluded_here(np.tile(some, (self.places, 1)), directions)
        stopped[:, hemmed] = rays.reshape(self.places, -1)
        return past(stopped, given, whole)

    def spread(self, reflected: Single) -> list[Single]:
        """Return reflected light at the plane's points, then at each bench's, from that at the points read (rows,)."""
        gathered = np.split(reflected, self._row_edges[:-1])
        spreads = zip(gathered[1:], self._bench_spread, strict=True)
        return [self._room.plane.spread(gathered[0]), *(spread(few) for few, spread in spreads)]


def past(stopped: BoolArray, given: Single, whole: Single | None) -> Single:
    """Return what comes through (n,) of what each place gives (places, n) where some rays (places, n) are stopped."""
    through = np.einsum("pn,pn->n", given, ~stopped)
    lux: Single = through if whole is None else whole * (through / given.sum(axis=0))
    return lux
