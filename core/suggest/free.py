"""Free places of the grid: the integer program over them, its bound, and the layouts it finds."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.candidates import Places
from core.suggest.demands import HIDDEN
from core.suggest.mirrored import mirrored_pairs, singles
from core.suggest.program import Choices, Outcome, fewest, fewest_parts, least_whole, most_even
from core.suggest.search import Layout, Search

__all__ = ["FreePlaces", "choices_of", "least_parts"]

_HALL = 150
"""So many places make a program that is only searched in haste."""
_MOST_LIGHT = 4_000_000
"""Places times cells up to which every cell is weighed; a hall's are read at chosen ones only."""


@dataclass(frozen=True)
class _Everywhere:
    """Light of every place at every cell that is insisted on, as a share of the minimum (cells, places)."""

    share: FloatArray
    lit: FloatArray


def members_of(search: Search) -> list[NDArray[np.intp]]:
    """Return the places of each choice: single ones, or mirrored pairs."""
    if search.request.symmetric:
        return mirrored_pairs(search.ceiling, search.places, search.cliques)
    return singles(search.places)


def choices_of(search: Search, margin: float, hopeful: bool = False, everywhere: _Everywhere | None = None) -> Choices:
    """Return the program over the grid's places, demands raised by a share.

    A ``hopeful`` one asks for no more than what a layout that meets the request is sure to have.
    """
    search.refresh()
    members, trust = members_of(search), search.trust
    correction = np.maximum(trust.correction, 1.0) if hopeful else trust.correction
    columns = search.columns * correction[:, None]
    demands = search.trusted(search.demands, hopeful)
    if hopeful:
        # All fixtures may hang on the switches that stay on.
        demands = demands.less_of("reduced average", search.request.reduced_share(search.plan))
        demands = demands.lowered(trust.slack(np.array([row.lit for row in demands.rows])))
    demands = demands.without_idle(columns)
    left, right = demands.linear(_summed(columns, members))
    right = right * (1.0 + margin)
    if everywhere is not None:
        less = trust.slack(everywhere.lit) if hopeful else np.full(len(everywhere.lit), -margin)
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


class FreePlaces:
    """The program over the places of the grid, with every cell of the work plane in it where they are not too many."""

    def __init__(self, search: Search) -> None:
        self._search = search
        self._columns: FloatArray | None = None
        _points, counted = search.responses.cells
        if search.request.minimum and len(search.places) * int(counted.sum()) <= _MOST_LIGHT:
            self._columns = search.responses.on_every_cell(search.ceiling.fixtures(search.places), search.model)

    def _everywhere(self) -> _Everywhere | None:
        search = self._search
        if self._columns is None or not any(row.kind == "minimum" for row in search.demands.rows):
            return None
        rows = np.flatnonzero(search.insisted_cells())
        return _Everywhere(self._columns[rows] / search.request.minimum, search.responses.evenly_lit[rows])

    def bound(self, at_most: int) -> Outcome:
        """Return how few fixtures could do at the least.

        Columns count as bright as they may be, and demands are lowered by what columns may be off at their spot.
        """
        search = self._search
        choices = choices_of(search, 0.0, hopeful=True, everywhere=self._everywhere())
        limits = search.limits(1.0)
        return fewest(choices, limits, at_most=at_most, only_bound=True, cancelled=search.cancelled)

    def bound_without_hidden(self) -> int:
        """Return a number of fixtures that there must be at least if hidden spots are left out."""
        search = self._search
        everywhere, before = self._everywhere(), search.demands
        if everywhere is not None:
            is_open = everywhere.lit >= HIDDEN
            everywhere = replace(everywhere, share=everywhere.share[is_open], lit=everywhere.lit[is_open])
        search.demands = before.only(np.array([not row.is_hidden for row in before.rows]))
        try:
            choices = choices_of(search, 0.0, hopeful=True, everywhere=everywhere)
        finally:
            search.demands = before
        return least_whole(choices, search.request.limits)

    def fewest(self, at_least: int, at_most: int) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid with the fewest fixtures that meets the demands with the margin."""
        search = self._search
        choices = choices_of(search, search.trust.margin, everywhere=self._everywhere())
        is_hall = len(search.places) > _HALL
        limits = search.limits(1 / 8 if is_hall else 1 / 2)
        outcome = fewest(choices, limits, at_least=at_least, at_most=at_most, hasty=is_hall, cancelled=search.cancelled)
        return self._layout(outcome), outcome

    def brightest(self, count: int, exactly: bool = True) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid of so many fixtures that meets the largest share of the demands."""
        search = self._search
        choices = choices_of(search, 0.0)
        outcome = most_even(choices, search.request.limits, count, exactly=exactly, cancelled=search.cancelled)
        return self._layout(outcome), outcome

    def _layout(self, outcome: Outcome) -> Layout | None:
        if outcome.chosen is None or not outcome.chosen.size:
            return None
        search, members = self._search, members_of(self._search)
        taken = np.concatenate([members[k] for k in outcome.chosen])
        places = Places(search.places.centres[taken], search.places.turns[taken])
        return search.layout("free, mirrored" if search.request.symmetric else "free", places)
