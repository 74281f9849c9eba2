"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. Points see places of the opening (`quick_points`), on the surfaces
each tile sees a few (`drag_tiles`). What the room makes of it are products with what was worked out when the room was
made ready (`drag_reflected`): light is linear.

Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial, reduce
from itertools import pairwise

import numpy as np

from core.light.drag_reflected import DragReflected
from core.light.drag_tiles import DragTiles, LitTiles
from core.light.grid import BoolArray, FloatArray
from core.light.quick_forms import Single
from core.light.quick_points import QuickPoints
from core.light.roomlight import Column, RoomLight
from core.light.shared_work import SharedWork
from core.light.sources import Source
from core.light.visibility import Blockers

__all__ = ["DragColumn", "DragRoom"]

FEWEST_PLACES, MOST_PLACES = 8, 96
BARN_PLACES, BARN_POINTS = 48, 5_200
"""Places of the opening that each point is traced to: so many in a large barn of so many points, fewer in a hall, where
all else takes longer too. With one fixture on alone, half shadows of 16 places are off by up to 8 %, of 48 by 2."""
TILE_RAYS = 2
"""Places of the opening that each tile is traced to."""
PIECES, TILE_PIECES = 16, 4
"""Into which the rays of points and tiles are shared out: more keep all threads busy to the end, fewer spare them the
waiting for each other's turn with Python."""


@dataclass(frozen=True)
class DragColumn:
    """One fixture's light at drag quality: on the plane's points and on each bench's points [lx]."""

    plane: FloatArray
    benches: tuple[FloatArray, ...]


class DragRoom:
    """A room laid out for drag frames. Making one costs a solve of the room's exchange; keep it with the room.

    ``step`` is called between pieces of the work and may raise to end it.
    """

    def __init__(self, room: RoomLight, step: Callable[[], None] | None = None) -> None:
        self.is_settled = False
        self._room = room
        self._points = QuickPoints(room, _places_in(room))
        self._reflected = DragReflected(room, step)
        self._tiles = DragTiles(room.patches, self._points.summed, TILE_RAYS, self._reflected.tiles_close_by)
        # Those of a piece of work: few enough to stay at hand from one to the next.
        self._origins = np.tile(self._points.starts.T, (-(-self._points.places // PIECES), 1))
        self._point_edges = np.cumsum([len(room.plane.points), *(len(bench.points) for bench in room.benches)])[:-1]

    def settle(self, known: Sequence[Column], step: Callable[[], None] | None = None) -> None:
        """Do more where frames of known fixtures, full columns in the room, would be off; from any thread."""
        self._reflected.settle_where_off(known, step)
        self.is_settled = True

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        starts = np.tile(self._points.starts.T, (self._points.places, 1))
        to_points = starts, self._aimed(self._points.spots(source))
        to_tiles = (part.rays() for part in self._lit_tiles(source, finely=False))
        origins, directions = (np.concatenate(some) for some in zip(to_points, *to_tiles, strict=True))
        return origins, directions

    def column(self, source: Source, *, finely: bool = False) -> DragColumn:
        """Work out one fixture's column, ``finely`` where little else is on to drown what it is off by.

        Other threads trace rays meanwhile, and this one when all else is done.
        """
        spots, shades = self._points.spots(source), self._room.shades_of(source)
        at_points = np.empty((self._points.places, self._points.starts.shape[1]), dtype=bool)
        each = _pieces(self._points.places, PIECES)
        tracing = SharedWork(partial(self._trace, shades, spots, places, at_points) for places in each)
        # The others have enough to do until it is known which tiles are lit; then those come first.
        parts = self._lit_tiles(source, finely)
        at_tiles = [_TileRays(shades, *part.rays()) for part in parts]
        tracing.put_first([piece for rays in at_tiles for piece in rays.pieces])
        for part in parts:
            part.shine()
        whole = self._points.unshadowed(source, self._points.starts)
        tracing.until(lambda: all(rays.are_traced() for rays in at_tiles))
        lit = [part.light(rays.stopped) for part, rays in zip(parts, at_tiles, strict=True)]
        reflected = self._reflected.at_points(reduce(np.add, lit), finely=finely)
        tracing.finish()
        lux = self._points.past(source, spots, self._points.starts, whole, at_points)
        lux += reflected
        plane, *benches = np.split(lux, self._point_edges)
        return DragColumn(plane, tuple(benches))

    def _lit_tiles(self, source: Source, finely: bool) -> list[LitTiles]:
        """Return the tiles that a source would light if nothing stood between, all of them or those close by apart."""
        summed = self._points.summed_spots(source)
        if not finely:
            return [self._tiles.lit_by(source, summed)]
        close = self._tiles.close_lit_by(source, summed, self._points.spots(source))
        return [close, self._tiles.lit_by(source, summed, but_close_by=True)]

    def _trace(self, shades: Blockers, spots: Single, places: slice, stopped: BoolArray) -> None:
        """Find which rays from all points to some of the places at the opening are ``stopped`` (places, points)."""
        directions = self._aimed(spots[:, places])
        stopped[places] = shades.occluded_here(self._origins[: len(directions)], directions).reshape(
            -1, stopped.shape[1]
        )

    def _aimed(self, spots: Single) -> Single:
        """Return the directions (p x points, 3) from all points to some places (3, p), one place after the other."""
        starts = self._points.starts
        aimed = np.empty((spots.shape[1], starts.shape[1], 3), dtype=np.float32)
        for axis in range(3):
            np.subtract(spots[axis, :, None], starts[axis], out=aimed[..., axis])
        return aimed.reshape(-1, 3)


def _places_in(room: RoomLight) -> int:
    """Return how many places of an opening each point of a room is traced to."""
    places = BARN_PLACES * (BARN_POINTS / max(1, len(room.points))) ** 1.5
    return int(min(MOST_PLACES, max(FEWEST_PLACES, places)))


def _pieces(count: int, pieces: int) -> list[slice]:
    """Return slices of ``range(count)`` that are about as large as each other."""
    return [slice(a, b) for a, b in pairwise(np.linspace(0, count, pieces + 1).astype(int).tolist())]


class _TileRays:
    """The rays of tiles, (n, 3) both, in ``pieces`` of work; ``stopped`` (n,) is known when they are traced."""

    def __init__(self, shades: Blockers, origins: Single, directions: Single) -> None:
        self._shades, self._origins, self._directions = shades, origins, directions
        self.stopped = np.empty(len(origins), dtype=bool)
        self.pieces = [partial(self._trace, piece) for piece in _pieces(len(origins), TILE_PIECES)]
        self._traced: list[slice] = []

    def are_traced(self) -> bool:
        """Tell whether all pieces are done."""
        return len(self._traced) == len(self.pieces)

    def _trace(self, piece: slice) -> None:
        self.stopped[piece] = self._shades.occluded_here(self._origins[piece], self._directions[piece])
        self._traced.append(piece)
