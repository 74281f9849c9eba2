"""What a changed room's columns take over from the room before the change, so that a picture comes soon after it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.light.sources import Source
from core.light.unchanged import Places, Unchanged, changed_boxes

if TYPE_CHECKING:
    from core.light.roomlight import Column, RoomLight

__all__ = ["Before", "Carried"]


@dataclass(frozen=True)
class Before:
    """A room from before a change, and the columns known in it. Of them, those of the same source are made use of."""

    room: RoomLight
    columns: Mapping[Source, Column]


class Carried:
    """What a room's columns need not work out anew, since they were known before a change. See `RoomLight.columns`."""

    def __init__(self, room: RoomLight, before: Before | None, finer: Before | None) -> None:
        self._room, self._before, self._finer = room, before, finer
        read = finer or before
        self._tiles = self._unchanged(before, _tiles_of)
        self._points = self._unchanged(read, _points_of)
        self._read = read if self._points is not None else None
        self.on_points = self._read.room.quality.on_points if self._read is not None else room.quality.on_points

    def _unchanged(self, before: Before | None, places: Callable[[RoomLight], Places]) -> Unchanged | None:
        if before is None:
            return None
        old, new = before.room.enclosure, self._room.enclosure
        if not (old.is_convex and new.is_convex) and (old.outline, old.height) != (new.outline, new.height):
            return None
        return Unchanged(places(before.room), places(self._room), changed_boxes(old, new))

    def on_tiles(self, source: Source, work: Callable[[NDArray[np.int64]], FloatArray]) -> FloatArray:
        """Direct light on the tiles (tiles,) [lx] where ``work`` finds it for some of them."""
        old = self._before.columns.get(source) if self._before is not None else None
        values = old.on_tiles if old is not None else None
        return self._pieced(source, self._before, self._tiles, values, work, len(self._room.patches.tile_area))

    def straight(self, source: Source, work: Callable[[NDArray[np.int64]], FloatArray]) -> FloatArray:
        """Direct light on all points (n,) [lx] where ``work`` finds it for some of them."""
        old = self._read.columns.get(source) if self._read is not None else None
        values = old.straight if old is not None else None
        return self._pieced(source, self._read, self._points, values, work, len(self._room.points))

    def _pieced(
        self,
        source: Source,
        before: Before | None,
        unchanged: Unchanged | None,
        values: FloatArray | None,
        work: Callable[[NDArray[np.int64]], FloatArray],
        count: int,
    ) -> FloatArray:
        if before is None or unchanged is None or values is None or not self._shaded_alike(source, before.room):
            return work(np.arange(count)).astype(np.float32)
        kept = unchanged.lit_as_before(source)
        lux = np.empty(count, dtype=np.float32)
        lux[kept] = values[unchanged.was[kept]]
        lux[~kept] = work(np.flatnonzero(~kept))
        return lux

    def _shaded_alike(self, source: Source, old: RoomLight) -> bool:
        """Tell whether a source is in both rooms; one that hangs through a wall depends on all that is there."""
        return all(room.shades_of(source) is room.between for room in (old, self._room))

    def corrected(self, source: Source, reflected: FloatArray) -> FloatArray:
        """Return reflected light (n,) [lx], corrected by what it was off by before the change where that is known."""
        if self._finer is None or self._before is None or self._points is None:
            return reflected
        rough, fine = self._before.columns.get(source), self._finer.columns.get(source)
        if rough is None or fine is None:
            return reflected
        known = np.flatnonzero(self._points.was >= 0)
        was = self._points.was[known]
        better = reflected.copy()
        better[known] = np.maximum(reflected[known] + fine.reflected[was] - rough.reflected[was], 0.0)
        return better


def _tiles_of(room: RoomLight) -> Places:
    patches = room.patches
    sides = patches.tile_sides.reshape(-1, 6)
    reach = np.linalg.norm(patches.tile_sides, axis=2).sum(axis=1)
    rows = np.column_stack([patches.tile_points, patches.tile_normals, sides, patches.tile_area])
    return Places(patches.tile_points, reach, rows)


def _points_of(room: RoomLight) -> Places:
    points = room.points
    return Places(points, np.zeros(len(points)), points)
