"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. On the work plane and the benches a diffuse rectangle keeps its
closed form, times the share of up to `MOST_PLACES` places of it that each point sees; other openings are summed over
those places. On the surfaces each tile sees a few places (`drag_tiles`). What the room makes of it is two products with
operators that were worked out when the room was made ready, one for the first bounce, one for all others: light is
linear.

Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.light.bounces import first_bounce, second_views
from core.light.direct import CLEAR, spread_places
from core.light.drag_tiles import DragTiles, intensity_along
from core.light.grid import BoolArray, FloatArray
from core.light.quick_forms import Single, unshadowed_upward
from core.light.receivers import UP, thinned
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.visibility import Aside, Blockers
from core.light.ways import may_be_hidden

__all__ = ["DragColumn", "DragRoom"]

MOST_PLACES, FEWEST_PLACES = 16, 8
"""Places of the opening that each point is traced to: many, so that half shadows are smooth, but in a hall fewer."""
POINT_RAYS = 150_000
TILE_RAYS = 2
"""Places of the opening that each tile is traced to."""
PIECES, TILE_PIECES = 8, 4
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
        patches = room.patches
        self._room = room
        points = np.concatenate([room.plane.points, *(bench.points for bench in room.benches)])
        self._starts = np.ascontiguousarray((points + CLEAR * UP).T, dtype=np.float32)
        places = self._places = max(FEWEST_PLACES, min(MOST_PLACES, POINT_RAYS // max(1, len(points))))
        self._local = spread_places(places)
        self._tiles = DragTiles(patches, places, TILE_RAYS)
        self._weights = (patches.tile_area / patches.area[patches.tile_patch]).astype(np.float32)
        mesh, first = len(room.plane.mesh), np.cumsum([len(room.plane.mesh), *(len(b.points) for b in room.benches)])
        thin = [thinned(bench) for bench in room.benches]
        rows = [np.arange(mesh), *(start + kept for start, (kept, _) in zip(first, thin, strict=False))]
        self._bench_spread = tuple(spread for _, spread in thin)
        self._row_edges = np.cumsum([len(part) for part in rows])
        self._rows = np.concatenate(rows)
        self._bounce = first_bounce(room.seen, self._rows, patches)
        self._operator = room.transfer.carried(second_views(self._bounce, room.views, patches, step), step)
        self._origins = np.tile(self._starts.T, (places, 1))
        self._directions = np.empty_like(self._origins)

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        spots = self._spots(source)
        to_points, to_tiles = (self._origins, self._aimed(spots)), self._tiles.lit_by(source, spots).rays()
        origins, directions = (np.concatenate(pair) for pair in zip(to_points, to_tiles, strict=True))
        return origins, directions

    def column(self, source: Source) -> DragColumn:
        """Work out one fixture's column: other threads begin with the rays, the tiles' first, and this one, when all
        else is done, takes over what they have not begun."""
        spots, shades = self._spots(source), self._room.shades_of(source)
        tiles = self._tiles.lit_by(source, spots)
        at_tiles = _traced(shades, *tiles.rays(), TILE_PIECES)
        at_points = _traced(shades, self._origins, self._aimed(spots), PIECES)
        tiles.shine()
        given, whole = self._to_points(source, spots, self._starts)
        reflected = self._carried(tiles.light(_found(at_tiles)))
        return self._assembled(_past(_found(at_points).reshape(given.shape), given, whole), reflected)

    def straight(self, source: Source, chosen: NDArray[np.int64]) -> Single:
        """Return the direct light in `column` at some of all points, those of the plane first (k,) [lx]."""
        spots, starts = self._spots(source), self._starts.take(chosen, axis=1)
        given, whole = self._to_points(source, spots, starts)
        shades = self._room.shades_of(source)
        stopped = np.zeros(given.shape, dtype=bool)
        hemmed = np.flatnonzero(may_be_hidden(starts.T, source, shades, self._places))
        some = starts.T[hemmed]
        directions = (spots.T[:, None, :] - some[None, :, :]).reshape(-1, 3)
        rays = shades.occluded_here(np.tile(some, (self._places, 1)), directions)
        stopped[:, hemmed] = rays.reshape(self._places, -1)
        return _past(stopped, given, whole)

    def on_patches(self, source: Source) -> Single:
        """Return direct light on the patches (patches,) [lx], with one ray for each tile; from any thread."""
        tiles = self._tiles_once.lit_by(source, self._spots(source))
        tiles.shine()
        return self._averaged(tiles.light(self._room.shades_of(source).occluded_here(*tiles.rays())))

    def reflected(self, on_patches: Single) -> list[Single]:
        """Return the reflected light for each of several sources' direct light on the patches (patches, k).

        At all points, those of the plane first: k of (n,) [lx]. Many sources at once take far less than one by one, and
        all tiles of a patch count as lit alike, which `column` does not ask of them.
        """
        return [np.concatenate(self._spread(one)) for one in (self._by_patches @ on_patches).T]

    @cached_property
    def _tiles_once(self) -> DragTiles:
        return DragTiles(self._room.patches, self._places, 1)

    @cached_property
    def _by_patches(self) -> FloatArray:
        """The operator (rows, patches) from direct light on the patches to all reflected light."""
        room = self._room
        operator: FloatArray = self._operator + room.seen.factors(self._rows) * room.patches.reflectance
        return operator.astype(np.float32)

    def _averaged(self, on_tiles: Single) -> Single:
        return np.add.reduceat(on_tiles * self._weights, self._room.patches.first_tile[:-1])

    def _carried(self, on_tiles: Single) -> Single:
        """Return what the room makes of direct light on the tiles (tiles,) at the points that are read (rows,)."""
        # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
        carried: Single = np.einsum("rp,p->r", self._operator, self._averaged(on_tiles))
        carried += self._bounce @ on_tiles
        return carried

    def _spots(self, source: Source) -> Single:
        """Return the places of the opening that are looked at, (3, places) [m]."""
        return np.ascontiguousarray(source.places(self._local).T, dtype=np.float32)

    def _aimed(self, spots: Single) -> Single:
        """Return the directions (rays, 3) from all points to the places at the opening; good until the next call."""
        by_place = self._directions.reshape(spots.shape[1], -1, 3)
        for axis in range(3):
            np.subtract(spots[axis][:, None], self._starts[axis], out=by_place[..., axis])
        return self._directions

    def _to_points(self, source: Source, spots: Single, starts: Single) -> tuple[Single, Single | None]:
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
            factor = (1.0 - source.distribution.upward_share) / np.pi * source.lumens / self._places
            given = np.reciprocal(square * square, out=square)
            return (given, whole) if whole is not None else (given * (up * rise * np.float32(factor)), None)
        distance = np.sqrt(square)
        square *= distance
        given = intensity_along(source, (x, y, rise), distance)
        given /= square
        given *= up * np.float32(source.lumens / self._places)
        return given, None

    def _assembled(self, lux: Single, reflected: Single) -> DragColumn:
        room = self._room
        points = np.split(lux, np.cumsum([len(room.plane.points), *(len(bench.points) for bench in room.benches)])[:-1])
        whole = [part + more for part, more in zip(points, self._spread(reflected), strict=True)]
        return DragColumn(whole[0], tuple(whole[1:]))

    def _spread(self, reflected: Single) -> list[Single]:
        """Return reflected light at the plane's points, then at each bench's, from that at the points read (rows,)."""
        gathered = np.split(reflected, self._row_edges[:-1])
        spreads = zip(gathered[1:], self._bench_spread, strict=True)
        return [self._room.plane.spread(gathered[0]), *(spread(few) for few, spread in spreads)]


def _traced(shades: Blockers, origins: Single, directions: Single, pieces: int) -> list[Aside[BoolArray]]:
    """Have other threads trace rays (n, 3), some at a time."""
    edges = np.linspace(0, len(origins), pieces + 1).astype(int).tolist()
    return [Aside(shades.occluded_here, origins[a:b], directions[a:b]) for a, b in pairwise(edges)]


def _found(traced: list[Aside[BoolArray]]) -> BoolArray:
    """Return which rays are stopped (n,), the last ones traced here if nobody has begun with them."""
    return np.concatenate([part.result() for part in reversed(traced)][::-1])


def _past(stopped: BoolArray, given: Single, whole: Single | None) -> Single:
    """Return what comes through (n,) of what each place gives (places, n) where some rays (places, n) are stopped."""
    through = np.einsum("pn,pn->n", given, ~stopped)
    lux: Single = through if whole is None else whole * (through / given.sum(axis=0))
    return lux
