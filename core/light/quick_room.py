"""Quick columns of very many fixtures, as a search for layouts needs them: a ray for each tile, patches lit alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.drag_tiles import DragTiles
from core.light.quick_forms import Single
from core.light.quick_points import QuickPoints
from core.light.readers import readers
from core.light.roomlight import RoomLight
from core.light.sources import Source

__all__ = ["QuickRoom"]

FEWEST_PLACES, MOST_PLACES, POINT_RAYS = 8, 16, 150_000
"""Places of an opening that are looked at from each point, and rays to points in all: a search has no time for more."""


class QuickRoom:
    """A room laid out for quick columns. Making one costs a solve of the room's exchange; keep it with the room."""

    def __init__(self, room: RoomLight) -> None:
        self._room = room
        places = max(FEWEST_PLACES, min(MOST_PLACES, POINT_RAYS // max(1, len(room.points))))
        self._points, self._readers = QuickPoints(room, places), readers(room, thin=True)
        self._tiles = DragTiles(room.patches, self._points.summed, 1)
        self._operator = room.transfer.carried(room.seen.factors(self._readers.rows))
        self._edges = np.cumsum([len(room.plane.points), *(len(bench.points) for bench in room.benches)])[:-1]

    def straight(self, source: Source, chosen: NDArray[np.int64]) -> Single:
        """Return the direct light at some of all points, those of the plane first (k,) [lx]; from any thread."""
        return self._points.straight(source, chosen)

    def everywhere(self, source: Source) -> list[Single]:
        """Return a source's light at all points: on the plane (n,), then on each bench [lx]."""
        at_rows = (self._operator @ self.on_patches(source)).astype(np.float32)
        every = np.arange(self._points.starts.shape[1])
        return np.split(self._readers.spread(at_rows) + self.straight(source, every), self._edges)

    def on_patches(self, source: Source) -> Single:
        """Return direct light on the patches (patches,) [lx]; from any thread."""
        tiles = self._tiles.lit_by(source, self._points.summed_spots(source))
        tiles.shine()
        stopped = self._room.shades_of(source).occluded_here(*tiles.rays())
        return self._room.patches.average_single(tiles.light(stopped))

    def reflected(self, on_patches: Single) -> list[Single]:
        """Return the reflected light for each of several sources' direct light on the patches (patches, k).

        At all points, those of the plane first: k of (n,) [lx]. Many sources at once take far less than one by one.
        """
        return [self._readers.spread(one) for one in (self._operator @ on_patches).T]
