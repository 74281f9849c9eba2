"""The light that falls on the surfaces in a drag frame: each tile sees a few places of the opening.

Neighbouring tiles see other places, so that a patch as a whole sees all of them; what a tile would get with nothing
between counts by the share that it sees. That is summed over all places near the opening, where light falls off
steeply, over several points of the tile too close to it, over four places farther on, and far away the middle will do.
Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

from core.light.direct import CLEAR
from core.light.grid import BoolArray
from core.light.on_tiles import by_reach
from core.light.patches import Patches
from core.light.places import FOUR
from core.light.quick_forms import Single
from core.light.sources import Source
from core.photometry.distribution import Axial

__all__ = ["DragTiles", "LitTiles", "intensity_along"]

NEAR, FAR = 2.0, 8.0
"""Half lengths of the opening: a tile nearer than this to its middle gets light from all places of it, one farther away
from its middle alone."""
CLOSER = ((2.0, 4), (1.0, 8))
"""Sides of a tile: one nearer than this to the opening gets light at so many times so many points of it."""
GOLDEN = (5.0**0.5 - 1.0) / 2.0


@dataclass(frozen=True)
class Facing:
    """Places that light falls on: ``starts`` and ``normals`` (3, k) [m], and what squares of distances count as at the
    least (k,) [m2]."""

    starts: Single
    normals: Single
    least_square: Single

    def only(self, chosen: NDArray[np.int64]) -> Facing:
        """Return some of the places."""
        starts, normals = self.starts.take(chosen, axis=1), self.normals.take(chosen, axis=1)
        return Facing(starts, normals, self.least_square.take(chosen))


class DragTiles:
    """The tiles of a room, laid out for openings of ``places`` places, of which each tile sees ``each``.

    Each of those in ``close_by`` (k,) alone matters to what is read close to it.
    """

    def __init__(self, patches: Patches, places: int, each: int, close_by: NDArray[np.int64] | None = None) -> None:
        self.patches = patches
        starts = np.ascontiguousarray((patches.tile_points + CLEAR * patches.tile_normals).T, dtype=np.float32)
        normals = np.ascontiguousarray(patches.tile_normals.T, dtype=np.float32)
        self.tiles = Facing(starts, normals, (patches.tile_area / np.pi).astype(np.float32))
        first = patches.first_tile[:-1]
        self._normals = normals.take(first, axis=1)
        self._level = (starts.take(first, axis=1) * self._normals).sum(axis=0)
        """How far along its own normal each patch lies, and so each of its tiles, (patches,) [m]."""
        self._lowest = starts[2] - 0.5 * np.abs(patches.tile_sides[..., 2]).sum(axis=1).astype(np.float32)
        # Tiles that are covered in part are not divided any further: 0 stands for them.
        self.side = np.where(patches.is_whole(), np.linalg.norm(patches.tile_sides, axis=2).max(axis=1), 0.0)
        self.place = _place_of_tiles(patches, places, each)
        self._close_by = np.zeros(0, dtype=np.int64) if close_by is None else close_by

    def lit_by(self, source: Source, spots: Single, *, but_close_by: bool = False) -> LitTiles:
        """Return the tiles that an opening with places (3, places) [m] would light if nothing stood between."""
        faces = self._faced(source)
        if but_close_by:
            faces[self._close_by] = False
        chosen = np.flatnonzero(faces)
        return LitTiles(self, chosen, source, spots, spots.take(self.place.take(chosen, axis=1), axis=1))

    def close_lit_by(self, source: Source, spots: Single, looked_at: Single) -> LitTiles:
        """Return the tiles close by that it would light; they see places of their own, ``looked_at`` (3, n) [m]."""
        chosen = self._close_by[self._faced(source)[self._close_by]]
        return LitTiles(self, chosen, source, spots, np.repeat(looked_at[:, :, None], len(chosen), axis=2))

    def _faced(self, source: Source) -> BoolArray:
        """Tell which tiles face some part of an opening, on a side of it that gives light."""
        normals, (along, across) = self._normals, source.axes
        before = -self._level
        for axis, middle in enumerate(source.centre):
            before += normals[axis] * np.float32(middle)
        for way, half in ((along, source.half_length), (across, source.half_width)):
            before += np.abs(normals[0] * np.float32(way[0] * half) + normals[1] * np.float32(way[1] * half))
        faces: BoolArray = (before > 0.0).take(self.patches.tile_patch)
        if source.distribution.upward_share == 0.0:
            faces &= self._lowest < np.float32(source.centre[2])
        return faces


class LitTiles:
    """Some tiles of a room before one opening: those ``chosen`` (k,), of which each sees some of its places.

    Those are ``seen`` (3, each, k), while ``spots`` (3, p) are what light is summed over near the opening [m]. Ask for
    the rays, have them traced, let it shine, and tell which rays are stopped.
    """

    def __init__(self, room: DragTiles, chosen: NDArray[np.int64], source: Source, spots: Single, seen: Single) -> None:
        self.chosen = chosen
        self._room, self._source, self._spots = room, source, spots
        self._at = room.tiles.only(chosen)
        self._seen = seen
        self._whole, self._is_near = np.zeros(0, dtype=np.float32), np.zeros(0, dtype=bool)

    def rays(self) -> tuple[Single, Single]:
        """Return origins and directions of the rays, both (each x lit, 3): one of each tile, then another of each."""
        each, count = self._seen.shape[1:]
        origins, directions = np.empty((2, each, count, 3), dtype=np.float32)
        for axis in range(3):
            origins[..., axis] = self._at.starts[axis]
            np.subtract(self._seen[axis], self._at.starts[axis], out=directions[..., axis])
        return origins.reshape(-1, 3), directions.reshape(-1, 3)

    def shine(self) -> None:
        """Work out what each tile gets with nothing between."""
        source, starts = self._source, self._at.starts
        half, middle = max(source.half_length, source.half_width), np.array(source.centre, dtype=np.float32)[:, None]
        away = np.square(starts - middle).sum(axis=0)
        lux = self._whole = self._from_afar(middle, away, half)
        self._is_near = away < (NEAR * half) ** 2
        near = np.flatnonzero(self._is_near)
        if near.size == 0:
            return
        every = self._spots[:, :, None]
        lux[near] = _arriving(source, every, self._at.only(near)).mean(axis=0)
        side = self._room.side[self.chosen[near]]
        reach = np.divide(source.gap_to(starts.T[near]), side, out=np.full(len(near), np.inf), where=side > 0.0)
        for within, count in by_reach(reach, CLOSER):
            close = near[within]
            over = _arriving(source, every, _over(self._room.patches, self.chosen[close], count))
            lux[close] = over.mean(axis=0).reshape(len(close), -1).mean(axis=1)

    def _from_afar(self, middle: Single, away: Single, half: float) -> Single:
        """Return what tiles get with nothing between where they are not near (k,) [lx]; ``away`` (k,) squared [m2]."""
        if self._seen.shape[1] == 1:
            # A search, which has thousands of fixtures to light: neighbouring tiles make up for each other's places.
            alone: Single = _arriving(self._source, self._seen, self._at)[0]
            return alone
        lux: Single = _arriving(self._source, middle[:, None], self._at)[0]
        fairly = np.flatnonzero(away < (FAR * half) ** 2)
        if fairly.size:
            four = FOUR.of(self._source)[:, :, None]
            lux[fairly] = _arriving(self._source, four, self._at.only(fairly)).mean(axis=0)
        return lux

    def light(self, stopped: BoolArray) -> Single:
        """Return the light on all tiles of the room (tiles,) [lx]; `shine` first. ``stopped`` (rays,) as `rays`."""
        by_place, patches = stopped.reshape(self._seen.shape[1:]), self._room.patches
        lux = np.zeros(len(patches.tile_patch), dtype=np.float32)
        if len(by_place) == 1:
            lux[self.chosen] = self._whole * ~by_place[0]
            return lux
        is_hidden = np.zeros(len(lux), dtype=bool)
        is_hidden[self.chosen] = by_place.any(axis=0)
        # Where one tile of a patch lies in half a shadow the others may too, and happen to see nothing of it.
        in_doubt = np.logical_or.reduceat(is_hidden, patches.first_tile[:-1]).take(patches.tile_patch.take(self.chosen))
        unsure = np.flatnonzero(in_doubt)
        given = _arriving(self._source, self._seen[:, :, unsure], self._at.only(unsure))
        seen, total = (given * ~by_place[:, unsure]).sum(axis=0), given.sum(axis=0)
        share = np.divide(seen, total, out=np.zeros_like(total), where=total > 0.0)
        shone = self._whole.copy()
        shone[unsure] = np.where(self._is_near[unsure], shone[unsure] * share, seen / np.float32(len(given)))
        lux[self.chosen] = shone
        return lux


def _arriving(source: Source, spots: Single, at: Facing) -> Single:
    """Return what places get from each of several spots, theirs (3, p, k) or all (3, p, 1): (p, k) [lx]."""
    x, y, z = (spots[axis] - at.starts[axis] for axis in range(3))
    square = x * x
    square += y * y
    square += z * z
    facing = x * at.normals[0]
    facing += y * at.normals[1]
    facing += z * at.normals[2]
    np.maximum(facing, 0.0, out=facing)
    distance = np.sqrt(square)
    facing *= intensity_along(source, (x, y, z), distance)
    distance *= np.maximum(square, at.least_square, out=square)
    facing *= np.float32(source.lumens)
    lux: Single = np.divide(facing, distance, out=facing)
    return lux


def intensity_along(source: Source, ray: tuple[Single, Single, Single], distance: Single) -> Single:
    """Return the intensity per lumen towards where rays (x, y, z) of some length come from."""
    distribution, (x, y, z) = source.distribution, ray
    if isinstance(distribution, Axial):
        return distribution.of_cosine(z / distance)
    leaving = np.stack(np.broadcast_arrays(-x, -y, -z), axis=-1) / distance[..., None]
    return distribution.intensity(source.to_local(leaving))


def _over(patches: Patches, tiles: NDArray[np.int64], side: int) -> Facing:
    """Return ``side`` x ``side`` points over each of some whole tiles, a tile's one after the other."""
    count = side * side
    points = patches.spread_over(tiles, side) + CLEAR * patches.tile_normals[tiles, None, :]
    normals = np.repeat(patches.tile_normals[tiles], count, axis=0)
    area = np.repeat(patches.tile_area[tiles] / count, count)
    return Facing(*(part.astype(np.float32) for part in (points.reshape(-1, 3).T, normals.T, area / np.pi)))


def _place_of_tiles(patches: Patches, places: int, each: int) -> NDArray[np.int64]:
    """Return which places of an opening each tile sees, (each, tiles).

    They are as far apart as they can be. Those of one patch are spread over the whole opening, dealt out so that
    neighbours see places far apart; the next patch begins elsewhere.
    """
    count = np.diff(patches.first_tile)
    of = patches.tile_patch
    number = np.arange(len(of)) - patches.first_tile[of]
    steps = np.array([_step(int(k)) for k in range(int(count.max(initial=0)) + 1)])
    dealt = number * steps[count[of]] % count[of]
    share = (dealt + of * GOLDEN % 1.0) / count[of]
    shares = (share + np.arange(each)[:, None]) / each
    places_of: NDArray[np.int64] = np.minimum((shares * places).astype(np.int64), places - 1)
    return places_of


def _step(count: int) -> int:
    """Return the step next to the golden section of ``count`` that still comes by every number below it."""
    steps = [step for step in range(1, count + 1) if gcd(step, count) == 1]
    return min(steps, key=lambda step: abs(step - GOLDEN * count), default=1)
