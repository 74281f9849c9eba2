"""Aligned rows chosen by an integer program: parallel lines anywhere across the room, each with a spread of its own.

A choice is a whole line: so many fixtures, evenly spaced, beginning and ending where it likes, turned one way or the
other. There are hundreds of thousands of them, so that they are not all written down: parts of lines are chosen first,
and whichever line is worth more than its fixtures at the prices of that choice is taken up, until none is (column
generation, G. B. Dantzig and P. Wolfe, Oper. Res. 8 (1960) 101-111). Whole lines are then chosen among those.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray
from core.quiet_solver import quiet_solver
from core.suggest.between import Between, spread_light
from core.suggest.candidates import CLEAR, Ceiling, Places, axis_places
from core.suggest.demands import Demands
from core.suggest.program import Choices, fewest
from core.suggest.request import Limits
from core.units import INCH

__all__ = ["Bundle", "Line", "LinePool", "line_pool"]

MOST_ON_LINE = 12
LEAST_SPACING = 0.6
"""Nearer than this [m] fixtures on one line are not looked at, even if their bodies are narrow."""
ALONG_STEP = 6 * INCH
MOST_ALONG = 80
_TIDY = 0.03
"""What a line costs besides its fixtures: of two layouts with as many fixtures the one with fewer lines is tidier."""
_ROUNDS, _NEW = 40, 60
_MOST_LIFT = 1.6
"""What light between the kept columns may be off at a spot in half a shadow."""
_OUT_OF_REACH = 400.0
_TOUCH = 1e-9
_Index = NDArray[np.intp]
Line = tuple[int, int, int]
"""A line: the number of its bundle, of its place across, and of its spread."""


@dataclass(frozen=True)
class Bundle:
    """All lines of one rotation in one direction.

    ``light`` (a, m + 1, rows) is what a fixture at one of ``a`` places across and ``m`` along gives to every demand,
    the last one nothing; ``is_free`` (a, m + 1); ``spots`` (lines, most on a line) places along, m where there is none.
    ``half`` is half a body's extent across the line [m], ``length`` all of it along.
    """

    turn: float
    across: FloatArray
    along: FloatArray
    half: float
    length: float
    light: FloatArray
    is_free: BoolArray
    spots: _Index

    def sizes(self) -> _Index:
        """Return how many fixtures each line has, (a, lines): places where something is in the way are left out."""
        size: _Index = self.is_free[:, self.spots].sum(axis=2)
        return size


def line_pool(
    ceiling: Ceiling,
    grids: dict[float, Between],
    along: int,
    demands: Demands,
    asked: float,
    step: float,
    is_symmetric: bool = False,
    cancelled: Callable[[], bool] | None = None,
    *,
    is_plain: bool = False,
) -> LinePool:
    """Take up the lines along an axis (0: x, 1: y) that are worth their fixtures where demands are to be met.

    ``grids`` are the columns of each rotation; ``asked`` is the share of the demands that must be had. Of
    rotations and places across the room each line has its own. A ``is_plain`` pool holds the grids' own places and
    has no lines taken up yet.
    """
    left, right, scale = _rows(grids, demands)
    bundles = _bundles(ceiling, grids, left, along, None if is_plain else step, is_symmetric and along == 0)
    pool = LinePool(along, bundles, demands, right * asked, scale, is_symmetric and along == 1)
    if not is_plain:
        pool.grow(cancelled)
    return pool


def _rows(grids: dict[float, Between], demands: Demands) -> tuple[list[FloatArray], FloatArray, FloatArray]:
    """Return what each place of the grids gives to every demand, (rows, places) each, the right sides and the scale."""
    columns = np.hstack([grid.columns for grid in grids.values()])
    scale = demands.scale(columns)
    left, right = demands.linear(columns, scale)
    edges = np.cumsum([grid.columns.shape[1] for grid in grids.values()])[:-1]
    return np.split(left, edges, axis=1), right, scale


def _bundles(
    ceiling: Ceiling,
    grids: dict[float, Between],
    lefts: list[FloatArray],
    along: int,
    step: float | None,
    mirrored: bool,
) -> list[Bundle]:
    made = []
    for (turn, grid), left in zip(grids.items(), lefts, strict=True):
        span, half = ceiling.span(turn), ceiling.half(turn)
        along_at, across_at = (grid.xs, grid.ys) if along == 0 else (grid.ys, grid.xs)
        if step is not None:
            across_at = axis_places(span[1 - along], span[3 - along], step / 2)
            length = span[along + 2] - span[along]
            along_at = axis_places(span[along], span[along + 2], max(ALONG_STEP, length / MOST_ALONG))
        light = spread_light(grid, left, along, along_at, across_at)
        centres = np.empty((len(across_at), len(along_at), 2))
        centres[..., along], centres[..., 1 - along] = along_at[None, :], across_at[:, None]
        free = ceiling.free(centres.reshape(-1, 2), np.full(centres[..., 0].size, turn)).reshape(centres.shape[:2])
        if mirrored:
            free &= free[:, ::-1]
        light[~free] = 0.0
        none = np.zeros((len(across_at), 1))
        pitch = float(along_at[1] - along_at[0]) if len(along_at) > 1 else 1.0
        least = max(2 * half[along] + CLEAR, LEAST_SPACING) / pitch
        spots = _spreads(len(along_at), least, mirrored) if step is not None else np.zeros((0, MOST_ON_LINE), np.intp)
        padded = np.concatenate([light, np.zeros((len(across_at), 1, light.shape[2]), dtype=light.dtype)], axis=1)
        is_free = np.concatenate([free, none.astype(bool)], axis=1)
        made.append(Bundle(turn, across_at, along_at, half[1 - along], 2 * half[along], padded, is_free, spots))
    return made


def _spreads(places: int, least: float, mirrored: bool) -> _Index:
    """Return every even spread over places in a row, (lines, most on a line); a single fixture hangs in the middle.

    ``least`` is the smallest spacing in places.
    """
    made = [[(places - 1) // 2]]
    for gap in range(max(1, int(np.ceil(least - _TOUCH))), places):
        for count in range(2, MOST_ON_LINE + 1):
            room = places - (count - 1) * gap
            if room <= 0:
                break
            starts = [(room - 1) // 2] if mirrored else range(room)
            if mirrored and (room - 1) % 2:
                continue
            made += [[start + k * gap for k in range(count)] for start in starts]
    table = np.full((len(made), MOST_ON_LINE), places, dtype=np.intp)
    for number, spots in enumerate(made):
        table[number, : len(spots)] = spots
    return table


class LinePool:
    """Lines taken up so far (bundle, place across, spread), and the program in parts of them."""

    def __init__(
        self,
        along: int,
        bundles: Sequence[Bundle],
        demands: Demands,
        right: FloatArray,
        scale: FloatArray,
        is_paired: bool,
    ) -> None:
        self.along, self.bundles, self.is_paired = along, bundles, is_paired
        self.demands, self.right, self.scale = demands, right, scale
        self._most = right * _MOST_LIFT
        self._edges = np.unique(np.round(np.concatenate([b.across - b.half - CLEAR / 2 for b in bundles]), 6))
        self._sizes = [bundle.sizes() for bundle in bundles]
        self._taken: dict[Line, None] = {}
        self._prices: FloatArray = np.zeros(len(right))
        self._crowding: FloatArray = np.zeros(len(self._edges))

    def grow(self, cancelled: Callable[[], bool] | None) -> None:
        """Take up lines until none is worth more than its fixtures at the prices of parts of those in use."""
        model: Any = quiet_solver({})
        rows, size = len(self.right), len(self._edges)
        for value in self.right:
            model.addRow(float(value), highspy.kHighsInf, 0, np.zeros(0, np.int32), np.zeros(0))
        for _ in range(size):
            model.addRow(-highspy.kHighsInf, 1.0, 0, np.zeros(0, np.int32), np.zeros(0))
        # Whatever no line reaches is had at a price that no line costs.
        everything = np.flatnonzero(self.right > 0.0).astype(np.int32)
        model.addCol(_OUT_OF_REACH, 0.0, 1.0, len(everything), everything, self.right[everything])
        for _ in range(_ROUNDS):
            if cancelled is not None and cancelled():
                return
            model.run()
            duals = np.array(model.getSolution().row_dual)
            self._prices, self._crowding = duals[:rows], duals[rows:]
            new = self._worth_more()
            if not new:
                return
            for line in new:
                self._taken[line] = None
                cost, index, values = self._column(line)
                model.addCol(cost, 0.0, 1.0, len(index), index, values)

    def _worth_more(self) -> list[Line]:
        """Return the lines whose light is worth most more than their fixtures, a few of every place across."""
        found: list[tuple[float, Line]] = []
        for number, reduced in enumerate(self._reduced()):
            for across, costs in enumerate(reduced):
                best = np.argpartition(costs, min(2, len(costs) - 1))[:3]
                found += [(float(costs[k]), (number, across, int(k))) for k in best if costs[k] < -1e-6]
        found.sort()
        return [line for _, line in found if line not in self._taken][:_NEW]

    def _reduced(self) -> Iterator[FloatArray]:
        """Yield what every line costs more than its light is worth, (across, lines) of each bundle."""
        for bundle, sizes in zip(self.bundles, self._sizes, strict=True):
            worth = bundle.light @ self._prices.astype(np.float32)
            crowding = np.array([self._crowding[self._over(bundle, a)].sum() for a in range(len(bundle.across))])
            costs = sizes - worth[:, bundle.spots].sum(axis=2)
            if self.is_paired:
                crowding, costs = crowding + crowding[::-1], costs + costs[::-1]
                costs[(len(costs) + 1) // 2 :] = np.inf
                if len(costs) % 2:
                    middle = len(costs) // 2
                    costs[middle], crowding[middle] = costs[middle] / 2, crowding[middle] / 2
            costs = costs + _TIDY - crowding[:, None]
            costs[sizes == 0] = np.inf
            yield costs

    def _over(self, bundle: Bundle, across: int) -> _Index:
        """Return the edges over which a line's bodies reach: of the lines over one edge one at most can be used."""
        low, high = bundle.across[across] - bundle.half - CLEAR / 2, bundle.across[across] + bundle.half + CLEAR / 2
        return np.flatnonzero((self._edges > low - 1e-5) & (self._edges < high - 1e-5))

    def _members(self, line: Line) -> list[tuple[int, int]]:
        """Return the places across that a choice fills, each with its spread."""
        number, across, spread = line
        other = len(self.bundles[number].across) - 1 - across
        return [(across, spread), (other, spread)] if self.is_paired and other != across else [(across, spread)]

    def light(self, line: Line) -> FloatArray:
        """Return what a line gives to every demand (rows,), each scaled like `right`."""
        bundle = self.bundles[line[0]]
        each = [bundle.light[a, bundle.spots[k]].sum(axis=0) for a, k in self._members(line)]
        light: FloatArray = np.sum(each, axis=0)
        return light

    def size(self, line: Line) -> int:
        """Return how many fixtures a line has."""
        return int(sum(self._sizes[line[0]][a, k] for a, k in self._members(line)))

    def _column(self, line: Line) -> tuple[float, NDArray[np.int32], FloatArray]:
        light = self.light(line)
        rows = np.flatnonzero(light)
        bundle = self.bundles[line[0]]
        edges = np.unique(np.concatenate([self._over(bundle, a) for a, _ in self._members(line)]))
        index = np.concatenate([rows, len(light) + edges]).astype(np.int32)
        return self.size(line) + _TIDY, index, np.concatenate([light[rows], np.ones(len(edges))]).astype(float)

    def lift(self, factor: FloatArray) -> None:
        """Ask more of every demand by a factor (rows,), where it is larger than 1; less of none."""
        self.right = np.minimum(self.right * np.maximum(factor, 1.0), self._most)

    def count(self, lines: Sequence[Line]) -> int:
        """Return how many fixtures some lines have."""
        return sum(self.size(line) for line in lines)

    def best(self, limits: Limits, at_most: int, cancelled: Callable[[], bool] | None = None) -> list[Line] | None:
        """Return the lines taken up that meet the demands with the fewest fixtures, None where none were found."""
        chosen = [line for line in self._taken if self.size(line) <= at_most]
        if not chosen:
            return None
        left = np.column_stack([self.light(line) for line in chosen])
        weights = np.array([self.size(line) for line in chosen], dtype=np.intp)
        cliques: list[list[int]] = [[] for _ in self._edges]
        for number, line in enumerate(chosen):
            for a, _ in self._members(line):
                for edge in self._over(self.bundles[line[0]], a):
                    cliques[int(edge)].append(number)
        sets = [np.unique(np.array(clique, dtype=np.intp)) for clique in cliques]
        choices = Choices(left, self.right, weights, [c for c in sets if len(c) > 1])
        outcome = fewest(choices, limits, at_most=at_most, hasty=True, cancelled=cancelled)
        return None if outcome.chosen is None else [chosen[k] for k in outcome.chosen]

    def places(self, lines: Sequence[Line]) -> Places:
        """Return the places of some lines."""
        centres, turns = [], []
        for line in lines:
            bundle = self.bundles[line[0]]
            for a, k in self._members(line):
                spots = bundle.spots[k][bundle.is_free[a, bundle.spots[k]]]
                part = np.empty((len(spots), 2))
                part[:, self.along], part[:, 1 - self.along] = bundle.along[spots], bundle.across[a]
                centres.append(part)
                turns.append(np.full(len(part), bundle.turn))
        return Places(np.concatenate(centres), np.concatenate(turns))
