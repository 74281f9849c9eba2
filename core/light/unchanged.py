"""What stays as it was when something in a room is moved: places, and the direct light on them.

A place keeps its direct light from a source if nothing that came, went or moved can reach into the way between them.
That is judged with room to spare: by straight lines to pieces of the opening against the box around each such thing,
made wider by the size of a piece and of the place itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.enclosure import TOUCH, Enclosure, Solid
from core.light.grid import BoolArray, FloatArray
from core.light.sources import Source

__all__ = ["Places", "Unchanged", "changed_boxes", "same_rows"]

MOST_PIECES = 4
_MIX = np.uint64(0x9E3779B97F4A7C15)  # 2**64 over the golden ratio: Fibonacci hashing (D. E. Knuth, vol. 3, 6.4)


@dataclass(frozen=True)
class Places:
    """Points (n, 3) [m], how far each place reaches about its point (n,) [m], and rows (n, k) that tell it apart."""

    points: FloatArray
    reach: FloatArray
    rows: FloatArray


class Unchanged:
    """The places that two rooms have in common; ``was`` (n,) is where each was in the old room, or -1.

    ``boxes`` (k, 2, 3) are low and high corners [m] of all that came, went or moved.
    """

    def __init__(self, old: Places, new: Places, boxes: FloatArray) -> None:
        self._new, self._boxes = new, boxes
        self.was = same_rows(old.rows, new.rows)

    def lit_as_before(self, source: Source) -> BoolArray:
        """Tell which of the new places (n,) get the same direct light from a source as before."""
        known = np.flatnonzero(self.was >= 0)
        spots, around = _pieces(source)
        points, reach = self._new.points[known], self._new.reach[known] + around + TOUCH
        free = np.ones(len(known), dtype=bool)
        for low, high in self._boxes:
            for spot in spots:
                free &= ~_passes(points, spot, low - reach[:, None], high + reach[:, None])
        kept = np.zeros(len(self.was), dtype=bool)
        kept[known[free]] = True
        return kept


def changed_boxes(old: Enclosure, new: Enclosure) -> FloatArray:
    """Return the boxes around the solids (k, 2, 3) [m] that only one of two enclosures has."""
    before, after = ({_shape(solid): solid for solid in enclosure.solids} for enclosure in (old, new))
    changed = [(before | after)[shape] for shape in before.keys() ^ after.keys()]
    corners = [np.array(solid.corners) for solid in changed]
    boxes = [
        ((*ring.min(axis=0), solid.bottom), (*ring.max(axis=0), solid.top))
        for ring, solid in zip(corners, changed, strict=True)
    ]
    return np.array(boxes, dtype=float).reshape(-1, 2, 3)


def same_rows(old: FloatArray, new: FloatArray) -> NDArray[np.int64]:
    """Return for each row of ``new`` (n, k) the index of the row of ``old`` (m, k) that is equal to the bit, or -1."""
    if not len(old) or not len(new):
        return np.full(len(new), -1, dtype=np.int64)
    keys, wanted = _key(old), _key(new)
    order = np.argsort(keys, kind="stable")
    found = order[np.minimum(np.searchsorted(keys, wanted, sorter=order), len(keys) - 1)]
    return np.where((old[found] == new).all(axis=1), found, -1)


def _key(rows: FloatArray) -> NDArray[np.uint64]:
    bits = np.ascontiguousarray(rows, dtype=np.float64).view(np.uint64)
    key = np.zeros(len(bits), dtype=np.uint64)
    for column in bits.T:
        key = (key ^ column) * _MIX
        key ^= key >> np.uint64(29)
    return key


def _shape(solid: Solid) -> tuple[object, ...]:
    return solid.corners, solid.bottom, solid.top


def _pieces(source: Source) -> tuple[FloatArray, float]:
    """Return points that share an opening among them (k, 3) and how far the opening reaches about each [m]."""
    half = (source.half_length, source.half_width)
    long, short = max(half), min(half)
    count = 1 if source.is_round or long == 0.0 else min(MOST_PIECES, math.ceil(long / max(short, long / MOST_PIECES)))
    along = (2.0 * np.arange(count) + 1.0) / count - 1.0
    local = np.column_stack([along, np.zeros(count)])
    if half[1] > half[0]:
        local = local[:, ::-1]
    axes = np.array(source.axes) * np.array(half)[:, None]
    return np.asarray(source.centre) + local @ axes, math.hypot(long / count, short)


def _passes(points: FloatArray, spot: FloatArray, low: FloatArray, high: FloatArray) -> BoolArray:
    """Tell which lines from points (n, 3) to a spot (3,) enter boxes, low and high corners (n, 3) each.

    The slab test (T. L. Kay and J. T. Kajiya, Computer Graphics 20(4), 1986).
    """
    way = spot - points
    way = np.where(np.abs(way) < 1e-12, 1e-12, way)
    one, other = (low - points) / way, (high - points) / way
    enters = np.minimum(one, other).max(axis=1)
    leaves = np.maximum(one, other).min(axis=1)
    return np.asarray(np.maximum(enters, 0.0) <= np.minimum(leaves, 1.0))
