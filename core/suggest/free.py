"""Free places of the grid: the integer program over them, its bound, and the layouts it finds."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.light.engine import LightEngine
from core.light.grid import BoolArray, FloatArray
from core.suggest.candidates import Places
from core.suggest.demands import HIDDEN, Demands
from core.suggest.exchange import MOST_CHOICES, Exchange
from core.suggest.layout import Layout
from core.suggest.mirrored import mirrored_pairs, singles
from core.suggest.program import (
    MANY_ASKS,
    Choices,
    Outcome,
    fewest,
    fewest_parts,
    least_whole,
    most_even,
    rising_bound,
    tight,
)
from core.suggest.search import Search

__all__ = ["FreePlaces", "choices_of", "least_parts", "soon_anywhere"]

_FEW = 130
"""Places up to which the light of each is solved in full: a bound need not allow for what quick light is off then."""
_SOON = 8
"""Times that a first layout is looked for again because it was too dark at a spot that had not been looked at."""
_SHARPENINGS = 3
"""Times that direct light is worked out in full at further cells: each time others stand in the way."""
_SURE = 0.002
"""What a sum of full solutions may be off by rounding; generous."""
_MOST_LIGHT = 4_000_000
"""Places times cells up to which every cell is weighed; a hall's are read at chosen ones only."""


@dataclass(frozen=True)
class _Everywhere:
    """Light of every place at every cell that is insisted on, as a share of the minimum (cells, places).

    ``slack`` (cells,) is what the light of layouts may be more than such sums; ``is_exact`` tells that they are sums of
    full solutions.
    """

    share: FloatArray
    slack: FloatArray
    is_exact: bool


def members_of(search: Search) -> list[NDArray[np.intp]]:
    """Return the places of each choice: single ones, or mirrored pairs."""
    if search.request.symmetric:
        return mirrored_pairs(search.ceiling, search.places, search.cliques)
    return singles(search.places)


def choices_of(
    search: Search,
    margin: float,
    hopeful: bool = False,
    everywhere: _Everywhere | None = None,
    demands: Demands | None = None,
) -> Choices:
    """Return the program over the grid's places, demands raised by a share; all demands unless some are given.

    A ``hopeful`` one asks for no more than what a layout that meets the request is sure to have.
    """
    search.refresh()
    members, trust = members_of(search), search.trust
    correction = np.maximum(trust.correction, 1.0) if hopeful else trust.correction
    columns = search.columns * correction[:, None]
    demands = search.trusted(search.demands if demands is None else demands, hopeful)
    if hopeful:
        # All fixtures may hang on the switches that stay on.
        demands = demands.less_of("reduced average", search.request.reduced_share(search.plan))
        demands = demands.lowered(trust.slack(np.array([row.lit for row in demands.rows])))
    if everywhere is not None and everywhere.is_exact:
        demands = demands.only(np.array([row.kind != "minimum" for row in demands.rows], dtype=bool))
    demands = demands.without_idle(columns)
    left, right = demands.linear(_summed(columns, members))
    right = right * (1.0 + margin)
    if everywhere is not None:
        less = everywhere.slack if hopeful else np.full(len(everywhere.slack), -margin)
        if everywhere.is_exact and not hopeful:
            less = -everywhere.slack
        left = np.vstack([left, _summed(everywhere.share, members)])
        right = np.concatenate([right, 1.0 - less])
    weights = np.array([len(part) for part in members], dtype=np.intp)
    owner = np.full(len(search.places), -1, dtype=np.intp)
    for number, part in enumerate(members):
        owner[part] = number
    cliques = [np.unique(owner[clique][owner[clique] >= 0]) for clique in search.cliques]
    return Choices(left, right, weights, [clique for clique in cliques if len(clique) > 1])


def _summed(columns: FloatArray, members: list[NDArray[np.intp]]) -> FloatArray:
    if not members:
        return columns[:, :0]
    return np.column_stack([columns[:, part].sum(axis=1) for part in members])


def least_parts(search: Search) -> float:
    """Return how many fixtures it takes at least if parts of them could hang; 0 where that is not known."""
    parts = fewest_parts(choices_of(search, 0.0), search.request.limits)
    return parts if math.isfinite(parts) else 0.0


def soon_anywhere(search: Search, count: int) -> Layout | None:
    """Return about ``count`` places of the grid that hold by quick light, found in an instant, None where none were."""
    members = members_of(search)
    if len(members) > MOST_CHOICES:
        return None
    for _ in range(_SOON):
        found = Exchange(choices_of(search, search.trust.margin), search.cancelled).fewest(count, count + count // 4)
        if found is None:
            return None
        layout = _layout_of(search, members, found)
        if not search.falls_short(layout):
            return layout
    return None


def _layout_of(search: Search, members: list[NDArray[np.intp]], chosen: NDArray[np.intp]) -> Layout:
    taken = np.concatenate([members[k] for k in chosen])
    places = Places(search.places.centres[taken], search.places.turns[taken])
    return search.layout("free, mirrored" if search.request.symmetric else "free", places)


class FreePlaces:
    """The program over the places of the grid, with every cell of the work plane in it where they are not too many.

    With an engine the light of every place is solved in full, if they are few.
    """

    def __init__(self, search: Search, engine: LightEngine | None = None) -> None:
        self._search = search
        self.is_exact = False
        """Whether the light of every place is that of a full solution."""
        self._columns: FloatArray | None = None
        self._is_sharp: BoolArray = np.zeros(len(search.responses.evenly_lit), dtype=bool)
        _points, counted = search.responses.cells
        fixtures = search.ceiling.fixtures(search.places)
        if not search.request.minimum or len(fixtures) * int(counted.sum()) > _MOST_LIGHT:
            return
        if engine is not None and len(fixtures) <= _FEW:
            named = tuple(replace(fixture, id=f"place-{k}", group="A") for k, fixture in enumerate(fixtures))
            full = engine.solve(replace(search.ceiling.plan, fixtures=named, groups=()), cancelled=search.cancelled)
            self._columns, self.is_exact = full.responses, True
        else:
            # Their light is known already, so that this only puts it in order.
            self._columns = search.responses.on_every_cell(fixtures, search.model)

    def _everywhere(self, cells: BoolArray | None = None) -> _Everywhere | None:
        """Return the light at the cells that are insisted on, those of ``cells`` only."""
        search = self._search
        if self._columns is None or not any(row.kind == "minimum" for row in search.demands.rows):
            return None
        insisted = search.insisted_cells()
        rows = np.flatnonzero(insisted if cells is None else insisted & cells)
        lit, sharp = search.responses.evenly_lit[rows], self._is_sharp[rows]
        slack = np.where(sharp, search.trust.sharp_slack(lit), search.trust.slack(lit))
        if self.is_exact:
            slack = np.full(len(rows), _SURE)
        return _Everywhere(self._columns[rows] / search.request.minimum, slack, self.is_exact)

    def _sharpen(self) -> None:
        """Work out the direct light of every place in full at the cells that stand in the way of fewer fixtures.

        What decides the bound are these; quick light may be off more than its bound leaves room for.
        """
        search = self._search
        if self._columns is None or self.is_exact or search.is_vast:
            return
        fixtures = search.ceiling.fixtures(search.places)
        for _ in range(_SHARPENINGS):
            insisted = np.flatnonzero(search.insisted_cells())
            choices = self._hopeful(search.demands)
            rows = tight(choices, search.request.limits) - (len(choices.right) - len(insisted))
            cells = insisted[rows[rows >= 0]]
            cells = cells[~self._is_sharp[cells]]
            if not cells.size:
                return
            self._columns[cells] = search.responses.sharper(cells, fixtures, search.model)
            self._is_sharp[cells] = True

    def bound(self, at_most: int, known: int = 0) -> Outcome:
        """Return how few fixtures could do at the least; fewer than ``known`` cannot.

        Columns count as bright as they may be, and demands are lowered by what columns may be off at their spot. With
        many places only the first number is asked for while nothing is ``known``: the next takes as long as all rows.
        """
        search = self._search
        self._sharpen()
        choices = self._hopeful(search.demands)
        if search.is_vast:
            least = float(least_whole(choices, search.request.limits))
            return Outcome(None, math.nan, least, False, False, False, 0)
        limits, asks = search.limits(1 / 3 if search.is_hall else 6.0), 1 if search.is_hall and not known else MANY_ASKS
        return rising_bound(choices, limits, at_most, known=max(1, known), asks=asks, cancelled=search.cancelled)

    def bound_without_hidden(self) -> int:
        """Return a number of fixtures that there must be at least if hidden spots are left out."""
        search, demands = self._search, self._search.demands
        demands = demands.only(np.array([not row.is_hidden for row in demands.rows], dtype=bool))
        return least_whole(self._hopeful(demands, search.responses.evenly_lit >= HIDDEN), search.request.limits)

    def _hopeful(self, demands: Demands, cells: BoolArray | None = None) -> Choices:
        return choices_of(self._search, 0.0, hopeful=True, everywhere=self._everywhere(cells), demands=demands)

    def fewest(self, at_least: int, at_most: int) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid with the fewest fixtures that meets the demands with the margin."""
        search = self._search
        choices = choices_of(search, search.trust.margin, everywhere=self._everywhere())
        if len(choices.weights) <= MOST_CHOICES:
            found = Exchange(choices, search.cancelled).fewest(at_least, at_most)
            if found is not None:
                count = float(choices.weights[found].sum())
                layout = self._layout(found)
                if count <= at_least or search.is_hall:
                    return layout, Outcome(found, count, float(at_least), count <= at_least, False, False, 0)
                fewer, outcome = self._by_program(choices, at_least, int(count) - 1)
                return (fewer, outcome) if fewer is not None else (layout, outcome)
        return self._by_program(choices, at_least, at_most)

    def _by_program(self, choices: Choices, at_least: int, at_most: int) -> tuple[Layout | None, Outcome]:
        search = self._search
        limits = search.limits(1 / 8 if search.is_hall else 1 / 2)
        outcome = fewest(
            choices, limits, at_least=at_least, at_most=at_most, hasty=search.is_hall, cancelled=search.cancelled
        )
        return self._layout(outcome.chosen), outcome

    def brightest(self, count: int, exactly: bool = True) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid of so many fixtures that meets the largest share of the demands."""
        search = self._search
        choices = choices_of(search, 0.0)
        outcome = most_even(choices, search.request.limits, count, exactly=exactly, cancelled=search.cancelled)
        return self._layout(outcome.chosen), outcome

    def _layout(self, chosen: NDArray[np.intp] | None) -> Layout | None:
        if chosen is None or not chosen.size:
            return None
        return _layout_of(self._search, members_of(self._search), chosen)
