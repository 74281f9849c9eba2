"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. On the work plane and the benches a diffuse rectangle keeps its
closed form, times the share of up to `MOST_PLACES` places of it that each point sees; other openings are summed over
those places. On the surfaces each tile sees one place, in turn, so that a patch sees several. What the room makes of
it is one product with an operator that was worked out when the room was made ready: light is linear.

Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import gcd

import numpy as np
from numpy.typing import NDArray

from core.light.direct import CLEAR, spread_places
from core.light.grid import BoolArray, FloatArray
from core.light.patches import Patches
from core.light.quick_forms import Single, unshadowed_upward
from core.light.receivers import UP, thinned
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.visibility import Aside, Blockers
from core.light.ways import may_be_hidden
from core.photometry.distribution import Axial

__all__ = ["DragColumn", "DragRoom"]

MOST_PLACES, FEWEST_PLACES = 16, 8
"""Places of the opening that each point is traced to: many, so that half shadows are smooth, but in a hall fewer."""
POINT_RAYS = 150_000
PIECES = 8
"""Into which the points' rays are shared out: more keep all threads busy to the end, fewer spare them the waiting for
each other's turn with Python."""
NEAR = 1.5
"""Half lengths of the opening: a tile nearer than this to its middle gets light from all places of it."""
CLOSE, CLOSE_SIDE = 2.0, 4
"""Sides of a tile: one nearer than this to the opening gets light at so many times so many points of it."""
GOLDEN = (5.0**0.5 - 1.0) / 2.0


@dataclass(frozen=True)
class DragColumn:
    """One fixture's light at drag quality: on the plane's points and on each bench's points [lx]."""

    plane: FloatArray
    benches: tuple[FloatArray, ...]


@dataclass(frozen=True)
class _Facing:
    """Places that light falls on: ``starts`` and ``normals`` (3, k) [m], and what squares of distances count as at the
    least (k,) [m2]."""

    starts: Single
    normals: Single
    least_square: Single

    def only(self, chosen: NDArray[np.int64]) -> _Facing:
        """Return some of the places."""
        return _Facing(self.starts[:, chosen], self.normals[:, chosen], self.least_square[chosen])


class DragRoom:
    """A room laid out for drag frames. Making one costs a solve of the room's exchange; keep it with the room.

    ``step`` is called between pieces of that solve and may raise to end it.
    """

    def __init__(self, room: RoomLight, step: Callable[[], None] | None = None) -> None:
        patches = room.patches
        self._room = room
        points = np.concatenate([room.plane.points, *(bench.points for bench in room.benches)])
        self._starts = np.ascontiguousarray((points + CLEAR * UP).T, dtype=np.float32)
        tiles = patches.tile_points + CLEAR * patches.tile_normals
        self._tile_starts = np.ascontiguousarray(tiles.T, dtype=np.float32)
        normals = np.ascontiguousarray(patches.tile_normals.T, dtype=np.float32)
        self._tiles = _Facing(self._tile_starts, normals, (patches.tile_area / np.pi).astype(np.float32))
        # Tiles that are covered in part are not divided any further: 0 stands for them.
        self._tile_side = np.where(patches.is_whole(), np.linalg.norm(patches.tile_sides, axis=2).max(axis=1), 0.0)
        places = self._places = max(FEWEST_PLACES, min(MOST_PLACES, POINT_RAYS // max(1, len(points))))
        self._tile_place = _place_of_tiles(room.patches, places)
        self._weights = (patches.tile_area / patches.area[patches.tile_patch]).astype(np.float32)
        mesh, first = len(room.plane.mesh), np.cumsum([len(room.plane.mesh), *(len(b.points) for b in room.benches)])
        thin = [thinned(bench) for bench in room.benches]
        rows = [np.arange(mesh), *(start + kept for start, (kept, _) in zip(first, thin, strict=False))]
        self._bench_spread = tuple(spread for _, spread in thin)
        self._row_edges = np.cumsum([len(part) for part in rows])
        self._operator = room.transfer.carried(room.seen.factors(np.concatenate(rows)), step)
        self._split = len(points) * places
        self._origins = np.concatenate([np.tile(self._starts.T, (places, 1)), self._tile_starts.T])
        self._pieces = np.linspace(0, self._split, PIECES + 1).astype(int).tolist()
        self._directions = np.empty_like(self._origins)
        self._local = spread_places(places)

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        spots = self._spots(source)
        self._aim(spots)
        self._aim_tiles(spots)
        return self._origins, self._directions.copy()

    def column(self, source: Source) -> DragColumn:
        """Work out one fixture's column: other threads begin with the rays, the tiles' first, and this one, when all
        else is done, takes over what they have not begun."""
        spots, shades = self._spots(source), self._room.shades_of(source)
        self._aim_tiles(spots)
        at_tiles = self._traced(shades, slice(self._split, len(self._origins)))
        self._aim(spots)
        at_points = [self._traced(shades, slice(a, b)) for a, b in pairwise(self._pieces)]
        on_tiles = self._to_tiles(source, spots)
        given, whole = self._to_points(source, spots, self._starts)
        on_tiles *= ~at_tiles.result()
        reflected = self._carried(on_tiles)
        stopped = np.concatenate([part.result() for part in reversed(at_points)][::-1])
        return self._assembled(_past(stopped.reshape(given.shape), given, whole), reflected)

    def straight(self, source: Source, chosen: NDArray[np.int64]) -> Single:
        """Return the direct light in `column` at some of all points, those of the plane first (k,) [lx]."""
        spots, starts = self._spots(source), self._starts.take(chosen, axis=1)
        given, whole = self._to_points(source, spots, starts)
        shades = self._room.shades_of(source)
        stopped = np.zeros(given.shape, dtype=bool)
        hemmed = np.flatnonzero(may_be_hidden(starts.T, source, shades, len(spots)))
        some = starts.T[hemmed]
        directions = (spots[:, None, :] - some[None, :, :]).reshape(-1, 3)
        rays = shades.occluded_here(np.tile(some, (len(spots), 1)), directions)
        stopped[:, hemmed] = rays.reshape(len(spots), -1)
        return _past(stopped, given, whole)

    def on_patches(self, source: Source) -> Single:
        """Return the direct light in `column` on the patches (patches,) [lx]; from any thread."""
        spots = self._spots(source)
        on_tiles = self._to_tiles(source, spots)
        lit = np.flatnonzero(on_tiles)
        starts = self._origins[self._split :].take(lit, axis=0)
        on_tiles[lit] *= ~self._room.shades_of(source).occluded_here(
            starts, spots.take(self._tile_place.take(lit), axis=0) - starts
        )
        return self._averaged(on_tiles)

    def reflected(self, on_patches: Single) -> list[Single]:
        """Return the reflected light in `column` for each of several sources' direct light on the patches (patches, k).

        At all points, those of the plane first: k of (n,) [lx]. Many sources at once take far less than one by one.
        """
        return [np.concatenate(self._spread(one)) for one in (self._operator @ on_patches).T]

    def _averaged(self, on_tiles: Single) -> Single:
        return np.add.reduceat(on_tiles * self._weights, self._room.patches.first_tile[:-1])

    def _carried(self, on_tiles: Single) -> Single:
        """Return what the room makes of direct light on the tiles (tiles,) at the points that are read (rows,)."""
        # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
        carried: Single = np.einsum("rp,p->r", self._operator, self._averaged(on_tiles))
        return carried

    def _traced(self, shades: Blockers, part: slice) -> Aside[BoolArray]:
        return Aside(shades.occluded_here, self._origins[part], self._directions[part])

    def _spots(self, source: Source) -> Single:
        return source.places(self._local).astype(np.float32)

    def _aim(self, spots: Single) -> None:
        """Direct the rays from all points to the places at the opening."""
        near = self._directions[: self._split].reshape(len(spots), -1, 3)
        for axis in range(3):
            np.subtract(spots[:, axis, None], self._starts[axis], out=near[..., axis])

    def _aim_tiles(self, spots: Single) -> None:
        np.subtract(spots.take(self._tile_place, axis=0), self._tile_starts.T, out=self._directions[self._split :])

    def _to_points(self, source: Source, spots: Single, starts: Single) -> tuple[Single, Single | None]:
        """Return what each place gives points (3, n), (places, n) [lx], and the closed form (n,) where there is one.

        With a closed form the first are weights only.
        """
        x, y = (spots[:, axis, None] - starts[axis] for axis in (0, 1))
        rise = spots[0, 2] - starts[2]  # an opening is level
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
        given = self._intensity(source, (x, y, rise), distance)
        given /= square
        given *= up * np.float32(source.lumens / self._places)
        return given, None

    def _to_tiles(self, source: Source, spots: Single) -> Single:
        """Return what each tile would get from its place of the opening, (tiles,) [lx].

        Near the opening it is the mean over all places of it, and close to it over several points of the tile too.
        """
        lux = self._arriving(source, spots.T.take(self._tile_place, axis=1), self._tiles)
        centre = np.asarray(source.centre, dtype=np.float32)[:, None]
        away = np.square(self._tile_starts - centre).sum(axis=0)
        near = np.flatnonzero(away < (NEAR * max(source.half_length, source.half_width)) ** 2)
        if near.size:
            every = spots.T[:, :, None]
            lux[near] = self._arriving(source, every, self._tiles.only(near)).mean(axis=0)
            side = self._tile_side[near]
            close = near[(lux[near] > 0.0) & (side > 0.0) & (source.gap_to(self._tile_starts.T[near]) < CLOSE * side)]
            if close.size:
                over = self._arriving(source, every, _over(self._room.patches, close))
                lux[close] = over.mean(axis=0).reshape(len(close), -1).mean(axis=1)
        return lux

    def _arriving(self, source: Source, spots: Single, at: _Facing) -> Single:
        """Return what places get from their spots (3, k), or from each of some spots (3, p, 1): (k,) or (p, k) [lx]."""
        x, y, z = (spots[axis] - at.starts[axis] for axis in range(3))
        square = x * x + y * y + z * z
        facing = np.maximum(x * at.normals[0] + y * at.normals[1] + z * at.normals[2], 0.0)
        distance = np.sqrt(square)
        lux: Single = self._intensity(source, (x, y, z), distance) * facing
        lux *= np.float32(source.lumens) / (np.maximum(square, at.least_square) * distance)
        return lux

    @staticmethod
    def _intensity(source: Source, ray: tuple[Single, Single, Single], distance: Single) -> Single:
        """Return the intensity per lumen towards where rays (x, y, z) of some length come from."""
        distribution, (x, y, z) = source.distribution, ray
        if isinstance(distribution, Axial):
            return distribution.of_cosine(z / distance)
        leaving = np.stack(np.broadcast_arrays(-x, -y, -z), axis=-1) / distance[..., None]
        return distribution.intensity(source.to_local(leaving))

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


def _over(patches: Patches, tiles: NDArray[np.int64]) -> _Facing:
    """Return points over each of some whole tiles, a tile's one after the other."""
    count = CLOSE_SIDE * CLOSE_SIDE
    points = patches.spread_over(tiles, CLOSE_SIDE) + CLEAR * patches.tile_normals[tiles, None, :]
    normals = np.repeat(patches.tile_normals[tiles], count, axis=0)
    area = np.repeat(patches.tile_area[tiles] / count, count)
    return _Facing(*(part.astype(np.float32) for part in (points.reshape(-1, 3).T, normals.T, area / np.pi)))


def _place_of_tiles(patches: Patches, places: int) -> NDArray[np.int64]:
    """Return which place of an opening each tile sees, (tiles,).

    Those of one patch are spread over the whole opening, dealt out so that neighbours see places far apart; the next
    patch begins elsewhere.
    """
    count = np.diff(patches.first_tile)
    of = patches.tile_patch
    number = np.arange(len(of)) - patches.first_tile[of]
    steps = np.array([_step(int(k)) for k in range(int(count.max(initial=0)) + 1)])
    dealt = number * steps[count[of]] % count[of]
    share = (dealt + of * GOLDEN % 1.0) / count[of]
    places_of: NDArray[np.int64] = np.minimum((share * places).astype(np.int64), places - 1)
    return places_of


def _step(count: int) -> int:
    """Return the step next to the golden section of ``count`` that still comes by every number below it."""
    steps = [step for step in range(1, count + 1) if gcd(step, count) == 1]
    return min(steps, key=lambda step: abs(step - GOLDEN * count), default=1)


def _past(stopped: BoolArray, given: Single, whole: Single | None) -> Single:
    """Return what comes through (n,) of what each place gives (places, n) where some rays (places, n) are stopped."""
    through = np.einsum("pn,pn->n", given, ~stopped)
    lux: Single = through if whole is None else whole * (through / given.sum(axis=0))
    return lux
