"""Fewer and fewer fixtures: the bound on how few can do, then rows and free places that come closer to it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from core.light.engine import LightEngine
from core.suggest.aligned import Aligned
from core.suggest.answer import HiddenPrice, Hindrance
from core.suggest.free import FreePlaces, least_parts
from core.suggest.layout import Layout
from core.suggest.request import Request
from core.suggest.search import Search
from core.suggest.shelf import Shelf
from core.suggest.spacing import Spacing
from core.suggest.spread_out import spread_places

__all__ = ["ClosingIn", "State", "far"]

_TRIES = 3
"""Times that a layout is looked for again with a larger margin."""
_NEAREST = 12


@dataclass
class State:
    """One model, the fewest fixtures found for it, and parts of fixtures that it takes at the least."""

    search: Search
    aligned: Aligned
    count: int | None = None
    parts: float = 0.0
    bound: int | None = None
    price: HiddenPrice | None = None

    @property
    def size(self) -> float:
        return math.inf if self.count is None else self.search.size(self.count)

    @property
    def least_size(self) -> float:
        """What it may come down to."""
        return self.search.size(max(1, math.ceil(self.parts)))

    @property
    def is_open(self) -> bool:
        """Whether fewer might do."""
        return self.count is None or self.count > (self.bound or 0)


def far(count: int) -> int:
    """Return the most fixtures of an answer that is worth showing beside one with ``count``."""
    return count + max(2, count // 4)


class ClosingIn:
    """The second part of a search, in which answers come closer to the bound.

    Parameters
    ----------
    tell
        Told the share of the work and what is done; raises `Cancelled` where somebody asked to stop.
    check
        Raises `Cancelled` where somebody asked to stop.
    report
        Called whenever there is something new to show.
    """

    def __init__(
        self,
        shelf: Shelf,
        request: Request,
        engine: LightEngine,
        tell: Callable[[float, str], None],
        check: Callable[[], None],
        report: Callable[[], None],
    ) -> None:
        self.shelf, self.request, self._engine = shelf, request, engine
        self._tell, self._check, self._report = tell, check, report
        self.states: dict[str, State] = {}
        self.limit_hit = False

    def run(self, tried: list[State]) -> None:
        """Look for fewer fixtures of the models that may come out smallest, the most promising one first."""
        for state in tried:
            state.parts = least_parts(state.search)
        order = sorted(tried, key=lambda state: (len(self.shelf.out(state.search)), state.least_size))
        for state in order:
            others = [other for other in tried if other is not state and other.count is not None]
            is_first = state is order[0]
            if not is_first and any(other.size <= state.least_size for other in others):
                continue
            if not is_first and len(self.shelf.out(state.search)) > len(self.shelf.out(order[0].search)):
                break
            self._freely(state, is_first)
        if not self.shelf.answers:
            self._nearest(order[0])

    def _freely(self, state: State, is_first: bool) -> None:
        """Look for the bound, then for rows and free places that come closer to it."""
        search = state.search
        self._tell(0.5, "how few can do")
        free = FreePlaces(search)
        outcome = free.bound(state.count or search.most)
        self._check()
        is_met = not self.shelf.in_the_way.get(search.model.id)
        if is_first and is_met and state.count and outcome.bound < state.count and not outcome.is_impossible:
            # It may only be what quick light is off that keeps them apart.
            exact = FreePlaces(search, self._engine)
            if exact.is_exact:
                free, outcome = exact, exact.bound(state.count)
                self._check()
        self.limit_hit |= outcome.limit_hit
        # If nothing on the grid does with so few, a layout off the grid has done it all the same.
        state.bound = state.count if outcome.is_impossible else int(outcome.bound)
        self.states[search.model.id] = state
        self._weigh_hidden(state, free)
        self._report()
        if self.request.minimise == "shadow" and self.shelf.answers:
            return  # with fewer fixtures there is more shadow
        if self.request.is_average_alone and self.shelf.has_met(search):
            return  # fewer would hang in a heap
        if self.request.arrangement != "free" and state.is_open:
            self._rows_anywhere(state)
        if search.is_hall and not search.is_vast:
            self._raise_bound(state, free)
        # In a hall rows have always come out with fewer than free places after as long a search [measured].
        is_enough = search.is_hall and state.count is not None and self.request.arrangement == "any"
        if self.request.arrangement != "rows" and state.is_open and not is_enough:
            self._free(state, free)

    def _raise_bound(self, state: State, free: FreePlaces) -> None:
        """Where rows are not yet within one fixture of the bound, see whether it is the bound that is too low."""
        if not state.count or not state.bound or state.count <= state.bound + 1:
            return
        self._tell(0.75, "how few can do")
        outcome = free.bound(state.count, state.bound)
        self._check()
        self.limit_hit |= outcome.limit_hit
        state.bound = int(min(state.count, outcome.bound))
        if state.price is not None:
            state.price = replace(state.price, bound=state.bound)

    def _weigh_hidden(self, state: State, free: FreePlaces) -> None:
        """Tell how few would do if hidden spots were left out that are insisted on."""
        search = state.search
        hidden = search.hidden_cells()
        if not hidden.any() or state.bound is None:
            return
        without = free.bound_without_hidden()
        self._check()
        counted = int(search.responses.cells[1].sum())
        state.price = HiddenPrice(int(hidden.sum()), counted, state.bound, min(without, state.bound))

    def _rows_anywhere(self, state: State) -> None:
        """Look for fewer fixtures in rows: with fixtures where they are needed, and evenly spaced."""
        search, longer = state.search, state.search.longer_axis
        if not self.request.symmetric:
            for along in (longer,) if search.is_vast else (longer, 1 - longer):
                self._tell(0.6, "rows with fixtures where they are needed")
                spacing = Spacing(search, state.aligned, along)
                self._keep_fewer(state, spacing.fewest)
        if search.is_vast and state.count is not None:
            return
        self._tell(0.7, "even rows anywhere across the room")
        at_most = search.most if state.count is None else far(state.count) - 1
        layout = state.aligned.lines(state.bound or 0, at_most)
        self._check()
        if layout is not None and self.shelf.keep(search, layout):
            state.count = min(layout.count, state.count or layout.count)

    def _keep_fewer(self, state: State, look: Callable[[int, int], Layout | None]) -> None:
        """Look for a layout with fewer fixtures than found so far until one holds when solved in full."""
        for _ in range(_TRIES):
            at_most = (state.count or state.search.most + 1) - 1
            layout = look(state.bound or 0, at_most) if at_most >= (state.bound or 1) else None
            self._check()
            if layout is None:
                return
            if self.shelf.keep(state.search, layout):
                state.count = layout.count
                return

    def _free(self, state: State, free: FreePlaces) -> None:
        self._tell(0.8, "any place of the grid")

        def look(at_least: int, at_most: int) -> Layout | None:
            if self.request.is_average_alone:
                spread, is_cut_short = spread_places(state.search, state.aligned, at_least, at_most)
                self.limit_hit |= is_cut_short
                if spread is not None:
                    return spread
            for _ in range(_TRIES):
                layout, outcome = free.fewest(at_least, at_most)
                self.limit_hit |= outcome.limit_hit
                if layout is None or not state.search.falls_short(layout):
                    return layout
            return None

        self._keep_fewer(state, look)

    def _nearest(self, state: State) -> None:
        """Nothing was found that meets all: offer what comes nearest, and say how far it falls short."""
        self._tell(0.95, "what comes nearest")
        shelf, search, free = self.shelf, state.search, FreePlaces(state.search)
        count = min(search.most, max(int(1.5 * (state.bound or 0)), _NEAREST))
        layout, outcome = free.brightest(count, exactly=False)
        if layout is None and search.give_up_evenness():
            layout, outcome = free.brightest(count, exactly=False)
        self.limit_hit |= outcome.limit_hit
        if layout is None or not shelf.keep(search, layout, as_it_is=True):
            return
        figures = shelf.answers[-1].recomputed
        assert figures is not None
        known = shelf.in_the_way[search.model.id]
        told = {part.what for part in known}
        asked: tuple[tuple[str, float, float], ...] = (
            ("average", self.request.average, figures.average),
            ("minimum", self.request.minimum, figures.minimum),
            ("evenness", self.request.evenness, figures.evenness),
            ("reduced average", self.request.reduced_average, figures.reduced or 0.0),
        )
        short = [
            Hindrance(what, f"the work plane, with {layout.count} fixtures", wanted, got, is_proven=False)
            for what, wanted, got in asked
            if got < wanted and what not in told
        ]
        shelf.in_the_way[search.model.id] = (*known, *short)
        shelf.answers[-1] = replace(shelf.answers[-1], is_met=shelf.answers[-1].is_met and not short)
