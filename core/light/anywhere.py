"""Reflected light at any points and directions of a room whose own light is known."""

from __future__ import annotations

import numpy as np

from core.light.close_by import close_by
from core.light.closer import looked_into
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.roomlight import Column, RoomLight, Watch, told_between
from core.light.sources import Source
from core.light.views import count_views, viewers_at

__all__ = ["reflected_at"]


def reflected_at(
    room: RoomLight,
    points: FloatArray,
    normals: FloatArray,
    sources: tuple[Source, ...],
    columns: list[Column],
    watch: Watch,
    closely: bool = True,
) -> FloatArray:
    """Return the reflected light of some fixtures (n, fixtures) [lx] at any points, for the fixtures' columns.

    With ``closely`` points in narrow gaps or close before a surface get a closer look, which takes a second or three.
    """
    result = np.empty((len(points), len(sources)))
    others = np.arange(len(points))
    if closely:
        around, is_close = close_by(room.enclosure.surfaces, points, normals)
        close, others = np.flatnonzero(is_close), np.flatnonzero(~is_close)
        if close.size:
            told = told_between(watch, 0.0, 0.3, "what is close by")
            patches, lit = looked_into(room, sources, columns, around, told)
            result[close] = _gathered(room, patches, lit, points[close], normals[close], watch)
    if others.size:
        lit = np.column_stack([column.lit for column in columns])
        result[others] = _gathered(room, room.patches, lit, points[others], normals[others], watch)
    return result


def _gathered(
    room: RoomLight, patches: Patches, lit: FloatArray, points: FloatArray, normals: FloatArray, watch: Watch
) -> FloatArray:
    """Return what points get (n, k) [lx] of what the tiles give back (tiles, k)."""
    rays = room.quality.rays_each(2 * room.quality.receiver_rays, len(points))
    block = max(1, 8_000_000 // rays)
    result = np.empty((len(points), lit.shape[1]))
    for start in range(0, len(points), block):
        part = slice(start, start + block)
        every = told_between(watch, start / len(points), min(1.0, (start + block) / len(points)), "reflections")
        viewers = viewers_at(points[part], normals[part])
        views = count_views(viewers, rays, room.enclosure, patches, room.blockers, every)
        result[part] = np.column_stack([views.gather(column) for column in lit.T])
    return result
