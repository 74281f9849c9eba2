"""Demands: a request as linear rows over the readings, so that a search and an integer program judge alike.

Every demand reads ``over . light >= share * (under . light) + least``. The score of a layout is the smallest ratio of
the left side to the right one; a layout meets the request where it is 1 or more.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from core.light.grid import FloatArray
from core.plan import Plan
from core.suggest.request import Request
from core.suggest.responses import Readings

__all__ = ["HIDDEN", "Demand", "Demands", "demands_of"]

HIDDEN = 0.6
"""A spot with less than this share of the median under an evenly lit ceiling lies in a gap or under something."""

Kind = Literal["minimum", "average", "evenness", "bench average", "bench minimum", "reduced average", "light"]


@dataclass(frozen=True, slots=True)
class Demand:
    """What one row asks for: its kind, the wanted value [lx or 1], and the place or bench it is about.

    ``cell`` is the place among the full grid's inside cells, -1 where it is none of them; ``lit`` its light under an
    even ceiling, 1 in the median.
    """

    kind: Kind
    wanted: float
    bench: str = ""
    x: float = 0.0
    y: float = 0.0
    cell: int = -1
    lit: float = 1.0

    @property
    def is_hidden(self) -> bool:
        """Whether it asks for light at a spot that things around it keep dark under any ceiling."""
        return self.kind == "minimum" and self.lit < HIDDEN


@dataclass(frozen=True)
class Demands:
    """Rows over the readings: ``over`` and ``under`` (rows, n), ``least`` (rows,) [lx]."""

    rows: tuple[Demand, ...]
    over: FloatArray
    under: FloatArray
    least: FloatArray

    def __len__(self) -> int:
        return len(self.rows)

    def ratios(self, light: FloatArray) -> FloatArray:
        """Return left side over right side for light (n,) or (n, k) at the readings, (rows,) or (rows, k)."""
        least = self.least if light.ndim == 1 else self.least[:, None]
        asked = self.under @ light + least
        ratio: FloatArray = (self.over @ light) / np.maximum(asked, 1e-9)
        return ratio

    def score(self, light: FloatArray) -> FloatArray:
        """Return the smallest ratio, () or (k,)."""
        least: FloatArray = self.ratios(light).min(axis=0, initial=np.inf)
        return least

    def scale(self, columns: FloatArray) -> FloatArray:
        """Return what each row is divided by (rows,), so that rows of columns (n, k) come to about 1."""
        left = np.abs((self.over - self.under) @ columns).max(axis=1, initial=0.0)
        found: FloatArray = np.where(self.least > 0.0, self.least, np.maximum(left, 1e-9))
        return found

    def linear(self, columns: FloatArray, scale: FloatArray | None = None) -> tuple[FloatArray, FloatArray]:
        """Return coefficients (rows, k) and right sides (rows,) of columns (n, k), each row scaled to about 1."""
        by = self.scale(columns) if scale is None else scale
        return (self.over - self.under) @ columns / by[:, None], self.least / by

    def lowered(self, slack: FloatArray) -> Demands:
        """Return the demands with less asked, by a share (rows,) of each."""
        return replace(self, under=self.under * (1.0 - 2.0 * slack[:, None]), least=self.least * (1.0 - slack))

    def less_of(self, kind: Kind, share: float) -> Demands:
        """Return the demands with only a share asked of one kind."""
        is_kind = np.array([row.kind == kind for row in self.rows], dtype=bool)
        return replace(self, least=np.where(is_kind, self.least * share, self.least))

    def without_idle(self, columns: FloatArray) -> Demands:
        """Return the demands without those that another one implies for any choice of the columns (n, k)."""
        left, right = self.linear(columns)
        constant = np.flatnonzero(right > 0.0)
        kept = np.ones(len(self), dtype=bool)
        order = constant[left[constant].sum(axis=1).argsort(kind="stable")]
        for number, row in enumerate(order):
            harder = order[:number][kept[order[:number]]]
            if harder.size and (left[harder] <= left[row] + 1e-9).all(axis=1).any():
                kept[row] = False
        return self.only(kept)

    def only(self, kept: FloatArray) -> Demands:
        """Return some of the rows, by a mask or indices."""
        index = np.arange(len(self))[np.asarray(kept, dtype=None if len(self) else bool)]
        return Demands(tuple(self.rows[k] for k in index), self.over[index], self.under[index], self.least[index])


def demands_of(plan: Plan, request: Request, readings: Readings) -> Demands:
    """Return the demands of a request; a count alone asks for light in the darkest spots."""
    made = _Rows(readings)
    room = np.flatnonzero(readings.room)
    average = readings.average / max(1, int(readings.average.sum()))
    if request.minimum:
        made.each("minimum", room, request.minimum)
    if request.bench_minimum:
        made.each("bench minimum", np.flatnonzero(readings.bench >= 0), request.bench_minimum)
    if request.average:
        made.add(Demand("average", request.average), average, request.average)
    if request.reduced_average:
        # Enough for any way of sharing out, see `Request.reduced_share`.
        wanted = request.reduced_average / request.reduced_share(plan)
        made.add(Demand("reduced average", wanted), average, wanted)
    if request.evenness:
        for point in room:
            made.add(
                _at(readings, "evenness", int(point), request.evenness),
                made.unit(int(point)),
                0.0,
                request.evenness * average,
            )
    if request.benches:
        for number, bench in enumerate(plan.benches()):
            mine = readings.bench == number
            wanted = bench.target_lux or plan.targets.lux
            made.add(Demand("bench average", wanted, bench.id, bench.x, bench.y), mine / max(1, mine.sum()), wanted)
    if not made.rows:
        # With nothing asked but a number: as bright as can be, and a gap between two machines in its own measure.
        for point in room:
            share = min(1.0, float(readings.evenly_lit[point]))
            made.each("light", [int(point)], plan.targets.lux * max(share, 1e-3))
    return made.done()


class _Rows:
    def __init__(self, readings: Readings) -> None:
        self._readings = readings
        self.rows: list[Demand] = []
        self._over: list[FloatArray] = []
        self._under: list[FloatArray] = []
        self._least: list[float] = []

    def unit(self, point: int) -> FloatArray:
        row = np.zeros(len(self._readings))
        row[point] = 1.0
        return row

    def add(self, demand: Demand, over: FloatArray, least: float, under: FloatArray | None = None) -> None:
        self.rows.append(demand)
        self._over.append(over)
        self._under.append(np.zeros_like(over) if under is None else under)
        self._least.append(least)

    def each(self, kind: Kind, points: Iterable[int], wanted: float) -> None:
        for point in points:
            self.add(_at(self._readings, kind, int(point), wanted), self.unit(int(point)), wanted)

    def done(self) -> Demands:
        shape = len(self.rows), len(self._readings)
        over, under = (np.array(part, dtype=float).reshape(shape) for part in (self._over, self._under))
        return Demands(tuple(self.rows), over, under, np.array(self._least, dtype=float))


def _at(readings: Readings, kind: Kind, point: int, wanted: float) -> Demand:
    number = int(readings.bench[point])
    x, y, _ = readings.points[point]
    bench = readings.benches[number] if number >= 0 else ""
    cell, lit = int(readings.cells[point]), float(readings.evenly_lit[point])
    return Demand(kind, wanted, bench, float(x), float(y), cell, lit)
