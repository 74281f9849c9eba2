"""A closer look at what is close by a place where light is read: a narrow gap, or a surface right before it.

What gets into a narrow gap passes from side to side many times while it falls off within the gap's own width: an
average over a patch, or over a tile as large as the gap, says nothing about it. Around the places that are asked for
all surfaces are therefore cut finer. What a room's full solution found for the tiles stays, but each of the finer ones
gets direct light and sends rays of its own, and light is passed on among them, and from all others to them, until it
stays. What comes out of the gap again changes nothing outside.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from core.light.direct import ShadowRays
from core.light.grid import FloatArray
from core.light.on_tiles import direct_on_tiles
from core.light.patches import Patches, cut_into_patches
from core.light.slots import Slot
from core.light.sources import Source
from core.light.views import count_views, viewers_at
from core.light.visibility import each_in_threads

if TYPE_CHECKING:
    from core.light.roomlight import Column, RoomLight

__all__ = ["looked_into"]

RAYS, FEWEST, MOST = 6_000_000, 64, 512
"""Rays in all, shared out among the finer tiles within bounds."""
SHADOWS = ShadowRays(16, 256, 8)
"""Rays from each finer tile to a fixture: deep in a gap only a sliver of it shows."""
MOST_PASSES = 20
SETTLED = 1e-4
"""Passing on ends when it changes less than this share of the light on the finer tiles."""


def looked_into(
    room: RoomLight,
    sources: tuple[Source, ...],
    columns: list[Column],
    around: Sequence[Sequence[Slot]],
    told: Callable[[float], None],
) -> tuple[Patches, FloatArray]:
    """Return a room's surfaces cut finer in parts (``around``, for each surface), and what its tiles give back.

    ``columns`` are those of the sources in the room. ``told`` hears the share of the work done now and then.

    Returns
    -------
    The patches and, for each fixture, the light given back (tiles, fixtures) [lm/m2].
    """
    size = room.quality.patch_size(room.enclosure.exposed_area)
    patches = cut_into_patches(room.enclosure, size, room.quality.side, around)
    was = room.patches.cells.tile_at(patches.tile_surface, patches.tile_points)
    finer = np.flatnonzero(patches.is_finer | (was < 0))
    rays = int(np.clip(RAYS // max(1, len(finer)), FEWEST, MOST))
    viewers = viewers_at(patches.tile_points[finer], patches.tile_normals[finer])
    views = count_views(viewers, rays, room.enclosure, patches, room.blockers, told)
    reflectance = patches.reflectance[patches.tile_patch[finer]]

    def settled(number: int) -> FloatArray:
        source, lit = sources[number], columns[number].lit.take(was)
        straight = direct_on_tiles(patches, finer, source, room.shades_of(source), SHADOWS)
        here: FloatArray = np.zeros(len(finer))
        for _ in range(MOST_PASSES):
            before, here = here, views.gather(lit)
            lit[finer] = (straight + here) * reflectance
            if np.abs(here - before).sum() <= SETTLED * here.sum():
                break
        return lit

    return patches, np.column_stack(each_in_threads(settled, len(sources)))
