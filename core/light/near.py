"""Tiles close to a point: what fills much of its view is worked out more finely for it.

A point a hand's breadth from a cabinet, or under a shelf, sees a few tiles and little else, so it shows what their own
figures are off by. Those tiles are gathered anew from places all over them, with as many rays as points get.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core.light.direct import direct
from core.light.grid import FloatArray
from core.light.sources import Source
from core.light.views import Viewers, Views, count_views

if TYPE_CHECKING:
    from core.light.roomlight import Column, RoomLight

__all__ = ["close_tiles", "sharpened"]

LARGE_PATCH = 0.08
"""Points that see a patch as large as this share of their view are looked at closer."""
LARGE_TILE = 0.015
"""Tiles that fill this share of the view of such a point count."""
MOST_TILES = 400
SIDE = 4
RAYS = 4096


def close_tiles(views: Views) -> NDArray[np.int64]:
    """Return the tiles that fill much of the view of some point, at most `MOST_TILES`, the largest first of all."""
    rows, met = np.flatnonzero(views.factors().max(axis=1, initial=0.0) > LARGE_PATCH), views.tiles
    most: dict[int, float] = {}
    for row in rows.tolist():
        tiles, counts = np.unique(met[row], return_counts=True)
        large = (tiles >= 0) & (counts > LARGE_TILE * met.shape[1])
        for tile, count in zip(tiles[large].tolist(), counts[large].tolist(), strict=True):
            most[tile] = max(most.get(tile, 0), count)
    return np.array(sorted(most, key=lambda tile: -most[tile])[:MOST_TILES], dtype=np.int64)


def sharpened(
    room: RoomLight, sources: tuple[Source, ...], columns: list[Column], chosen: NDArray[np.int64]
) -> FloatArray:
    """Return what the tiles give back (tiles, k) [lm/m2] with chosen ones worked out anew."""
    lit = np.column_stack([column.lit for column in columns])
    if not len(chosen):
        return lit
    patches = room.patches
    places = patches.spread_over(chosen, SIDE)
    partly = ~patches.is_whole()[chosen]
    places[partly] = patches.tile_points[chosen[partly], None, :]
    normals = patches.tile_normals[chosen]
    count = places.shape[1]
    viewers = Viewers(places.reshape(-1, 3), np.arange(len(chosen) + 1) * count, normals)
    views = count_views(viewers, RAYS, room.enclosure, patches, room.blockers)
    facing = np.repeat(normals, count, axis=0)
    rho = patches.reflectance[patches.tile_patch[chosen]]
    for number, (source, column) in enumerate(zip(sources, columns, strict=True)):
        straight = direct(viewers.origins, facing, source, room.shades_of(source), room.quality.on_points)
        each = (straight + views.gather(column.lit)).reshape(len(chosen), count)
        lit[chosen, number] = rho * each.mean(axis=1)
    return lit
