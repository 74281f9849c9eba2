"""Light as it is read: the response of every fixture on the work plane and on each bench, and the sum at a setting.

Light is linear. Column ``f`` of a response holds the illuminance that fixture ``f`` alone gives at full level
(direct and interreflected) [lx]; a switch setting is one matrix-vector product.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray, Grid
from core.light.keys import RoomKey
from core.light.sources import Source

__all__ = ["BenchLight", "Field", "Figures", "Lighting", "figures"]


@dataclass(frozen=True, slots=True)
class Figures:
    """Average, minimum and maximum illuminance [lx] and evenness (minimum / average, EN 12464-1's U0)."""

    average: float
    minimum: float
    maximum: float
    evenness: float


def figures(lux: FloatArray) -> Figures:
    """Return the figures of a set of points; all zero where there is none."""
    if lux.size == 0:
        return Figures(0.0, 0.0, 0.0, 0.0)
    # The bare reductions: `mean`, `min` and `max` come to the same, after twice the time for a bench's few points.
    average, minimum = float(np.add.reduce(lux)) / lux.size, float(np.minimum.reduce(lux))
    return Figures(average, minimum, float(np.maximum.reduce(lux)), minimum / average if average > 0.0 else 0.0)


@dataclass(frozen=True)
class BenchLight:
    """Points on one bench's top and their responses.

    ``grid`` is in the bench's own frame (local x and y from its centre); ``inside`` (ny, nx) tells which of its points
    are free (nothing stands there); those n ``points`` (n, 3) are in the room [m], in row order, and ``responses``
    (n, fixtures) [lx].
    """

    bench: str
    grid: Grid
    inside: BoolArray
    points: FloatArray
    responses: FloatArray

    def lux(self, shares: FloatArray) -> FloatArray:
        """Return the illuminance at the points, shape (n,) [lx]."""
        return self.responses @ shares


@dataclass(frozen=True)
class Field:
    """The light at one switch setting: ``lux`` has the grid's shape, NaN where there is no room or a box fills it."""

    grid: Grid
    lux: FloatArray
    room: Figures
    benches: Mapping[str, Figures]


@dataclass(frozen=True)
class Lighting:
    """The light of a plan, for every switch setting.

    Attributes
    ----------
    grid : Grid
        Points of the work plane.
    inside : (ny, nx) bool
        Cells whose point lies in the room and not in or under anything taller than the plane.
    counted : (ny, nx) bool
        Those of them that count for the room's figures (off the wall band).
    responses : (number of inside cells, fixtures) [lx]
        In the grid's row order.
    groups : tuple of str
        Switch group of each fixture, in the plan's order.
    energy_balance : float
        Lumens absorbed by all surfaces divided by lumens emitted, raw.
    row_sums : (patches,)
        Raw row sums of the configuration factors.
    is_full : bool
        False for a quick first picture or a drag frame.
    sources : tuple of Source
        What shines, in the plan's order.
    room_key : tuple
        What of the plan the room's part of the light depends on.
    """

    grid: Grid
    inside: BoolArray
    counted: BoolArray
    responses: FloatArray
    benches: tuple[BenchLight, ...]
    groups: tuple[str, ...]
    energy_balance: float
    row_sums: FloatArray
    is_full: bool
    sources: tuple[Source, ...]
    room_key: RoomKey

    def shares(self, levels: Mapping[str, float]) -> FloatArray:
        """Return the level of each fixture, shape (fixtures,)."""
        return np.array([levels.get(group, 0.0) for group in self.groups], dtype=self.responses.dtype)

    def field(self, levels: Mapping[str, float]) -> Field:
        """Return the light at a switch setting ``{group letter: share}``."""
        shares = self.shares(levels)
        lux = np.full(self.grid.shape, np.nan, dtype=np.float32)
        light = (self.responses @ shares).astype(np.float32, copy=False)
        cells, counted = self._places
        lux.ravel()[cells] = light
        benches = {bench.bench: figures(bench.lux(shares)) for bench in self.benches}
        return Field(self.grid, lux, figures(light.take(counted)), benches)

    def columns_of(self, sources: tuple[Source, ...]) -> tuple[FloatArray, list[FloatArray], tuple[int, ...]]:
        """Return responses for some sources, plane and benches, with the columns that are known; and which are not."""
        if len(sources) == len(self.sources):
            missing = tuple(n for n, (one, other) in enumerate(zip(sources, self.sources, strict=True)) if one != other)
            if len(missing) < 2:
                # Nearly always so while dragging, and several times as quick as column by column.
                return self.responses.copy(), [bench.responses.copy() for bench in self.benches], missing
        place = {source: number for number, source in enumerate(self.sources)}
        old = [place.get(source, -1) for source in sources]
        missing = tuple(number for number, at in enumerate(old) if at < 0)
        picked = np.maximum(old, 0) if self.sources else np.zeros(0, dtype=int)

        def taken(responses: FloatArray) -> FloatArray:
            if len(picked) < len(sources):
                return np.empty((len(responses), len(sources)), dtype=np.float32)
            return np.ascontiguousarray(responses[:, picked])

        return taken(self.responses), [taken(bench.responses) for bench in self.benches], missing

    @cached_property
    def _places(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Which cells of the whole grid are inside, and which of those count: quicker than masks, time and again."""
        return np.flatnonzero(self.inside), np.flatnonzero(self.counted[self.inside])
