"""Slots: where two surfaces face each other across a gap too narrow for the tiles they would get.

Light that enters a narrow gap falls off within about the gap's own width, so tiles there must be smaller than it. Only
the patches of a surface that lie in a slot are cut finer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from core.light.enclosure import Surface
from core.light.grid import BoolArray, FloatArray

__all__ = ["Fineness", "Slot", "facing_pairs", "finer_by", "slots_of"]

IntArray = NDArray[np.int64]

NARROWEST = 0.055
"""Narrower gaps [m] are left alone: nobody works or reads in them, and next to no light comes out again."""
FACING = -0.999


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely slots are cut: tiles wanted ``across`` the width of the gap, and at most so many times finer than
    elsewhere."""

    across: float
    finest: int


USUAL = Fineness(2.5, 4)


@dataclass(frozen=True, slots=True)
class Slot:
    """The part of a surface that faces another one closely: low and high corner (u, v), the gap [m], how finely it is
    to be cut."""

    low: tuple[float, float]
    high: tuple[float, float]
    gap: float
    fineness: Fineness = USUAL


def slots_of(faces: Sequence[Surface], tile: float) -> list[list[Slot]]:
    """Return the slots of each surface, for tiles of about ``tile`` [m]."""
    found: list[list[Slot]] = [[] for _ in faces]
    for i, slot in facing_pairs(faces, NARROWEST, USUAL.across * tile):
        found[i].append(slot)
    return found


def facing_pairs(faces: Sequence[Surface], narrowest: float, widest: float) -> Iterator[tuple[int, Slot]]:
    """Yield each surface i that faces another across a gap within limits [m], and the slot that this makes on it."""
    normals = np.array([face.normal for face in faces])
    level = np.array([face.origin for face in faces]) @ normals.T  # of surface i's origin along normal j
    gap = level.T - np.diag(level)[:, None]
    near = (normals @ normals.T < FACING) & (gap > narrowest) & (gap < widest)
    near &= ~_apart(faces, widest)
    for i, j in zip(*np.nonzero(near), strict=True):
        slot = _slot(faces[i], faces[j], float(gap[i, j]))
        if slot is not None:
            yield int(i), slot


def _apart(faces: Sequence[Surface], reach: float) -> BoolArray:
    """Tell which pairs of surfaces lie farther than ``reach`` [m] from each other, by the boxes around them."""
    boxes = np.array([face.to_room(_corners(face.whole)) for face in faces])
    low, high = boxes.min(axis=1), boxes.max(axis=1)
    apart: BoolArray = (low[:, None] > high[None] + reach).any(axis=2)
    return apart | apart.T


def _corners(shape: BaseGeometry) -> FloatArray:
    u0, v0, u1, v1 = shape.bounds
    return np.array([(u0, v0), (u1, v0), (u1, v1), (u0, v1)])


def _slot(face: Surface, other: Surface, gap: float) -> Slot | None:
    """Where ``other`` lies before ``face``, by the box around it; None where it does not, or is hidden."""
    if face.exposed.is_empty or other.exposed.is_empty:
        return None
    offset = other.to_room(_corners(other.exposed)) - face.origin
    places = np.column_stack([offset @ face.u_axis, offset @ face.v_axis])
    bounds = np.array(face.exposed.bounds)
    low = np.maximum(places.min(axis=0), bounds[:2])
    high = np.minimum(places.max(axis=0), bounds[2:])
    if (high - low).min() <= gap / 2:
        return None
    return Slot((float(low[0]), float(low[1])), (float(high[0]), float(high[1])), gap)


def finer_by(slots: Sequence[Slot], low: FloatArray, size: FloatArray, shape: IntArray, side: int) -> IntArray:
    """Return how many tiles along each side the patches of a surface need, ``shape`` array of ``side`` or more.

    ``low`` is the low corner (u, v) of the first patch and ``size`` that of a patch [m].
    """
    tiles = np.full(tuple(shape), side, dtype=np.int64)
    for slot in slots:
        first = np.floor((np.array(slot.low) - low) / size + 1e-6).astype(int)
        last = np.ceil((np.array(slot.high) - low) / size - 1e-6).astype(int)
        wanted = int(np.ceil(slot.fineness.across * size.max() / slot.gap))
        strip = tiles[max(first[0], 0) : last[0], max(first[1], 0) : last[1]]
        np.maximum(strip, min(wanted, slot.fineness.finest * side), out=strip)
    return tiles
