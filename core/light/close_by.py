"""What lies close by a place where light is read, and how finely it is to be cut for that.

A place in a narrow gap sees what the gap's two sides pass to and fro, and one a few centimetres before a surface sees
little but that spot of it, where a shadow may begin. The tiles there must be small against the gap and the distance.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.light.enclosure import TOUCH, Surface
from core.light.grid import BoolArray, FloatArray
from core.light.slots import Fineness, Slot, facing_pairs

__all__ = ["Around", "close_by"]

NARROW = 0.13
"""Gaps [m] that are looked into."""
READ_IN = Fineness(6.0, 8)
AROUND = 12.0
"""Widths of a gap to which its surfaces are cut finer around a place in it."""
BEFORE = 2.0
"""Widths of a gap before its mouth at which a place counts as in it."""
BEYOND = 3.0
"""Widths of a gap to which they are cut finer before its mouth, where light falls off as well."""
CLOSE = 0.12
"""Distance of a surface [m] below which a place is close before it."""
READ_BEFORE = Fineness(4.0, 8)
WIDE = 4.0
"""Times that distance to which all surfaces around are cut finer."""
LEAST = 0.01
"""Distances count as at least so much [m]."""
SEEN = 0.1
"""Cosine between the normals of a place and a surface below which the place looks at it."""

Around = list[list[Slot]]


def close_by(faces: Sequence[Surface], points: FloatArray, normals: FloatArray) -> tuple[Around, BoolArray]:
    """Return what is to be cut finer of each surface, and for which places (n, 3) [m] that is done (n,)."""
    found: Around = [[] for _ in faces]
    around = _in_gaps(faces, points, found)
    around |= _before_surfaces(faces, points, normals, ~around, found)
    return found, around


def _in_gaps(faces: Sequence[Surface], points: FloatArray, found: Around) -> BoolArray:
    """Add what is to be cut around places in narrow gaps, and return which are in one (n,).

    A place right before the mouth of one counts as in it. There all surfaces are cut finer: at the edge of a cabinet's
    front the light falls off as well.
    """
    inside = np.zeros(len(points), dtype=bool)
    for i, slot in facing_pairs(faces, TOUCH, NARROW):
        face, low, high = faces[i], np.array(slot.low), np.array(slot.high)
        places, away = _on(face, points)
        by = BEFORE * slot.gap
        within = (away > -by) & (away < slot.gap + by) & ((places >= low - by) & (places <= high + by)).all(axis=1)
        if not within.any():
            continue
        inside |= within
        reach, beyond = AROUND * slot.gap, BEYOND * slot.gap
        low = np.clip(places[within].min(axis=0) - reach, low, high)
        high = np.clip(places[within].max(axis=0) + reach, low, high)
        base = face.to_room(np.array([low - beyond, (high[0] + beyond, low[1] - beyond), high + beyond]))
        corner = base[0] + base[2] - base[1]
        low_side = np.vstack([base, corner]) - beyond * face.normal
        box = np.concatenate([low_side, low_side + (slot.gap + 2.0 * beyond) * face.normal])
        _cut_in(faces, box, slot.gap, READ_IN, found)
    return inside


def _before_surfaces(
    faces: Sequence[Surface], points: FloatArray, normals: FloatArray, asked: BoolArray, found: Around
) -> BoolArray:
    """Add what is to be cut around places close before a surface that they look at, and return which are (n,)."""
    close = np.full(len(points), np.inf)
    for face in faces:
        if face.exposed.is_empty:
            continue
        places, away = _on(face, points)
        u0, v0, u1, v1 = face.exposed.bounds
        aside = np.maximum(np.maximum((u0, v0) - places, places - (u1, v1)), 0.0)
        distance = np.sqrt((aside**2).sum(axis=1) + away**2)
        looks: BoolArray = (away > 0.0) & (normals @ face.normal < SEEN) & (distance < CLOSE)
        close[looks] = np.minimum(close[looks], distance[looks])
    chosen: BoolArray = asked & np.isfinite(close)
    for point, distance in zip(points[chosen], np.maximum(close[chosen], LEAST), strict=True):
        signs = np.stack(np.meshgrid(*[[-1.0, 1.0]] * 3), axis=-1).reshape(-1, 3)
        _cut_in(faces, point + WIDE * distance * signs, float(distance), READ_BEFORE, found)
    return chosen


def _cut_in(faces: Sequence[Surface], box: FloatArray, gap: float, fineness: Fineness, found: Around) -> None:
    """Add the parts of all surfaces in a box of corners (8, 3), or around them, to what is found for each surface."""
    for cut, face in zip(found, faces, strict=True):
        if face.exposed.is_empty:
            continue
        places, away = _on(face, box)
        bounds = np.array(face.exposed.bounds)
        low, high = np.maximum(places.min(axis=0), bounds[:2]), np.minimum(places.max(axis=0), bounds[2:])
        if away.min() <= 0.0 <= away.max() and (high > low).all():
            cut.append(Slot((float(low[0]), float(low[1])), (float(high[0]), float(high[1])), gap, fineness))


def _on(face: Surface, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return points (n, 3) in a surface's frame: (u, v) (n, 2), and how far before it they lie (n,) [m]."""
    offset = points - face.origin
    return np.column_stack([offset @ face.u_axis, offset @ face.v_axis]), offset @ face.normal
