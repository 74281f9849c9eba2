"""The points at which light is read, laid out for quick columns: single precision, few rays, and no ray anew each time.

What a point would get with nothing between, a closed form where there is one and a sum over some places of the opening
elsewhere, counts by the share of the light from the places that it sees. Those are more, since half shadows need them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.direct import CLEAR
from core.light.drag_tiles import intensity_along
from core.light.grid import BoolArray
from core.light.places import FOUR, Places
from core.light.quick_forms import Single, unshadowed_upward
from core.light.receivers import UP
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.ways import may_be_hidden

__all__ = ["QuickPoints"]

MOST_SUMMED = 16
"""Places of the opening that unshadowed light is summed over at the most."""
FAR = 6.0
"""Half lengths of the opening: at points farther away four places of it sum up to the same."""


class QuickPoints:
    """All points of a room, those of the plane first, then of the benches.

    ``starts`` (3, n) are where rays start. From each so many ``places`` of the opening are looked at.
    """

    def __init__(self, room: RoomLight, places: int) -> None:
        self._room = room
        self.starts = np.ascontiguousarray((room.points + CLEAR * UP).T, dtype=np.float32)
        self.places = places
        self.summed = min(MOST_SUMMED, self.places)
        self._looked_at, self._summed = Places.evenly(self.places), Places.evenly(self.summed)

    def spots(self, source: Source) -> Single:
        """Return the places of an opening that are looked at, (3, places) [m]."""
        return self._looked_at.of(source)

    def summed_spots(self, source: Source) -> Single:
        """Return the places of an opening that unshadowed light is summed over, (3, summed) [m]."""
        return self._summed.of(source)

    def unshadowed(self, source: Source, starts: Single) -> Single:
        """Return what points (3, n) get with nothing between (n,) [lx]."""
        whole = unshadowed_upward(source, starts) if source.is_diffuse else None
        if whole is not None:
            return whole
        away = source.centre[2] - float(starts[2].max(initial=-np.inf))
        is_far = away > FAR * max(source.half_length, source.half_width)
        spots = FOUR.of(source) if is_far else self.summed_spots(source)
        summed: Single = _given(source, spots, starts).sum(axis=0)
        return summed

    def straight(self, source: Source, chosen: NDArray[np.int64]) -> Single:
        """Return the direct light at some of all points (k,) [lx]; from any thread."""
        spots, starts = self.spots(source), self.starts.take(chosen, axis=1)
        shades = self._room.shades_of(source)
        stopped = np.zeros((self.places, len(chosen)), dtype=bool)
        hemmed = np.flatnonzero(may_be_hidden(starts.T, source, shades, self.places))
        some = starts.T[hemmed]
        directions = (spots.T[:, None, :] - some[None, :, :]).reshape(-1, 3)
        rays = shades.occluded_here(np.tile(some, (self.places, 1)), directions)
        stopped[:, hemmed] = rays.reshape(self.places, -1)
        return self.past(source, spots, starts, self.unshadowed(source, starts), stopped)

    def past(self, source: Source, spots: Single, starts: Single, whole: Single, stopped: BoolArray) -> Single:
        """Return what is left (n,) of unshadowed light (n,) where some rays (places, n) are stopped."""
        seen = ~stopped
        lux = np.where(seen.any(axis=0), whole, np.float32(0.0))
        partly = np.flatnonzero((stopped.any(axis=0)) & (lux > 0.0))
        given = _given(source, spots, starts.take(partly, axis=1))
        total = given.sum(axis=0)
        through = np.einsum("pn,pn->n", given, seen.take(partly, axis=1))
        lux[partly] *= np.divide(through, total, out=np.zeros_like(total), where=total > 0.0)
        return lux


def _given(source: Source, spots: Single, starts: Single) -> Single:
    """Return what each place (3, p) of an opening gives points (3, n) that look up, its share of all: (p, n) [lx]."""
    x, y = (spots[axis][:, None] - starts[axis] for axis in (0, 1))
    rise = spots[2, 0] - starts[2]  # an opening is level
    square = x * x
    square += y * y
    square += rise * rise
    facing = np.maximum(rise, np.float32(0.0)) * np.float32(source.lumens / spots.shape[1])
    if source.is_diffuse:
        # Lambert's two cosines are both rise / distance, and the rise is the same for all places of a point.
        facing *= rise * np.float32((1.0 - source.distribution.upward_share) / np.pi)
        square *= square
        given: Single = np.divide(facing, square, out=square)
        return given
    distance = np.sqrt(square)
    square *= distance
    given = intensity_along(source, (x, y, rise), distance)
    given /= square
    given *= facing
    return given
