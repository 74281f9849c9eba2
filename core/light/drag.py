"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. Points see places of the opening (`quick_points`), on the surfaces
each tile sees a few (`drag_tiles`). What the room makes of it is two products with operators that were worked out when
the room was made ready, one for the first bounce, one for all others: light is linear.

Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.light.bounces import first_bounce, second_views
from core.light.drag_tiles import DragTiles
from core.light.grid import BoolArray, FloatArray
from core.light.quick_forms import Single
from core.light.quick_points import QuickPoints
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.visibility import Aside, Blockers

__all__ = ["DragColumn", "DragRoom"]

MOST_PLACES, POINT_RAYS = 96, 250_000
"""Places of the opening that each point is traced to, and rays to points in all. With one fixture on alone, half
shadows of 16 places are off by up to 8 %."""
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

    ``step`` is called between pieces of that solve and may raise to end it.
    """

    def __init__(self, room: RoomLight, step: Callable[[], None] | None = None) -> None:
        self._room = room
        self._points = QuickPoints(room, MOST_PLACES, POINT_RAYS)
        self._tiles = DragTiles(room.patches, self._points.summed, TILE_RAYS)
        self._bounce = first_bounce(room.seen, self._points.rows, room.patches)
        self._operator = room.transfer.carried(second_views(self._bounce, room.views, room.patches, step), step)
        self._origins = np.tile(self._points.starts.T, (self._points.places, 1))
        self._directions = np.empty((self._points.places, self._points.starts.shape[1], 3), dtype=np.float32)
        self._point_edges = np.cumsum([len(room.plane.points), *(len(bench.points) for bench in room.benches)])[:-1]

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        to_points = self._origins, self._aimed(self._points.spots(source), slice(None))
        to_tiles = self._tiles.lit_by(source, self._points.summed_spots(source)).rays()
        origins, directions = (np.concatenate(pair) for pair in zip(to_points, to_tiles, strict=True))
        return origins, directions

    def column(self, source: Source) -> DragColumn:
        """Work out one fixture's column: other threads begin with the rays, the tiles' first, and this one, when all
        else is done, takes over what they have not begun."""
        spots, shades = self._points.spots(source), self._room.shades_of(source)
        first, *others = _pieces(spots.shape[1], PIECES)
        # Something to do for the other threads until it is known which tiles are lit.
        at_points = [Aside(self._stopped, shades, spots, first)]
        tiles = self._tiles.lit_by(source, self._points.summed_spots(source))
        origins, directions = tiles.rays()
        pieces = _pieces(len(origins), TILE_PIECES)
        at_tiles = [Aside(shades.occluded_here, origins[piece], directions[piece]) for piece in pieces]
        at_points += [Aside(self._stopped, shades, spots, places) for places in others]
        tiles.shine()
        whole = self._points.unshadowed(source, self._points.starts)
        reflected = self._points.spread(self._carried(tiles.light(_found(at_tiles))))
        stopped = _found(at_points).reshape(spots.shape[1], -1)
        lux = self._points.past(source, spots, self._points.starts, whole, stopped)
        straight = np.split(lux, self._point_edges)
        plane, *benches = (part + more for part, more in zip(straight, reflected, strict=True))
        return DragColumn(plane, tuple(benches))

    def _carried(self, on_tiles: Single) -> Single:
        """Return what the room makes of direct light on the tiles (tiles,) at the points that are read (rows,)."""
        # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
        carried: Single = np.einsum("rp,p->r", self._operator, self._tiles.averaged(on_tiles))
        carried += self._bounce @ on_tiles
        return carried

    def _stopped(self, shades: Blockers, spots: Single, places: slice) -> BoolArray:
        """Tell which rays from all points to some of the places at the opening are stopped (places x points,)."""
        count = len(spots[0, places]) * self._points.starts.shape[1]
        return shades.occluded_here(self._origins[:count], self._aimed(spots, places))

    def _aimed(self, spots: Single, places: slice) -> Single:
        """Return the directions (rays, 3) from all points to some of the places; good until the next frame's."""
        aimed = self._directions[places]
        for axis in range(3):
            np.subtract(spots[axis, places, None], self._points.starts[axis], out=aimed[..., axis])
        return aimed.reshape(-1, 3)


def _pieces(count: int, pieces: int) -> list[slice]:
    """Return slices of ``range(count)`` that are about as large as each other."""
    return [slice(a, b) for a, b in pairwise(np.linspace(0, count, pieces + 1).astype(int).tolist())]


def _found(traced: list[Aside[BoolArray]]) -> BoolArray:
    """Return which rays are stopped (n,), the last ones traced here if nobody has begun with them."""
    return np.concatenate([part.result() for part in reversed(traced)][::-1])
