"""'Place them for me': several good layouts, different in kind, each recomputed, with a bound on how few can do.

First aligned patterns, then rows that an integer program chooses, then free places of the grid, whose program gives the
bound: no layout of the model on the grid does with fewer. Every layout is solved at full quality before it counts; one
that falls short of the request raises the margin and is looked for again. Figures promised are the quick ones less the
margin.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from core.light.engine import LightEngine
from core.light.roomlight import Cancelled, Watch
from core.plan import Model, Plan
from core.suggest.aligned import Aligned
from core.suggest.answer import Answer, HiddenPrice, Hindrance, Result, sorted_answers
from core.suggest.free import FreePlaces, least_parts
from core.suggest.hindrances import as_found, without_impossible
from core.suggest.request import Request
from core.suggest.responses import Responses
from core.suggest.search import Layout, Search
from core.suggest.shelf import Shelf
from core.suggest.trust import Trust

__all__ = ["suggest"]

_MODELS = 3
"""Most models of one request that are looked at."""
_TRIES = 3
"""Times that a layout is looked for again with a larger margin."""
_LINE_TRIES = 1
_WORTH = 36
"""Fixtures that are recomputed for the sake of further kinds of answers: in a hall each takes half a second."""
_NEAREST = 12
_TIDY = 2
"""Aligned patterns that are offered for each model."""

Progress = Callable[[float, str], None]
Found = Callable[[Result], None]


def suggest(
    plan: Plan,
    request: Request,
    engine: LightEngine | None = None,
    *,
    catalogue: Sequence[Model] = (),
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
    found: Found | None = None,
) -> Result:
    """Look for layouts that meet a request.

    Parameters
    ----------
    plan : Plan
        Its ceiling fixtures make way; everything else stays.
    engine : LightEngine
        Recomputes; one that knows the room already saves a second.
    catalogue
        Models that may be asked for besides the plan's own.
    progress, cancelled
        Told the share of the work and what is done; asked whether to stop. What was found until then is kept.
    found
        Told the result so far whenever it gets better, from this thread.

    Raises
    ------
    RequestError
        Where the request makes no sense for the plan.
    """
    request.check(replace(plan, models=(*plan.models, *_missing(plan, catalogue))))
    task = _Task(plan, request, engine or LightEngine(), catalogue, progress, cancelled, found)
    try:
        task.run()
    except Cancelled:
        task.is_stopped = True
    return task.result()


def _missing(plan: Plan, catalogue: Sequence[Model]) -> list[Model]:
    known = {model.id for model in plan.models}
    return [model for model in catalogue if model.id not in known]


@dataclass
class _State:
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


def _far(count: int) -> int:
    """Return the most fixtures of an answer that is worth showing beside one with ``count``."""
    return count + max(2, count // 4)


class _Task:
    """One run of the search."""

    def __init__(
        self,
        plan: Plan,
        request: Request,
        engine: LightEngine,
        catalogue: Sequence[Model],
        progress: Progress | None,
        cancelled: Callable[[], bool] | None,
        found: Found | None,
    ) -> None:
        self.plan, self.request, self.engine = plan, request, engine
        self.models = request.chosen_models(plan, catalogue)[:_MODELS]
        self._progress, self._cancelled, self._found = progress, cancelled, found
        self._began = time.perf_counter()
        self.shelf = Shelf(plan, request, engine, cancelled, self._report)
        self.states: dict[str, _State] = {}
        self.gap: float | None = None
        self.first_seconds: float | None = None
        self.limit_hit = self.is_stopped = False

    def run(self) -> None:
        """Look for layouts, the quickest ways first."""
        self._tell(0.02, "looking at the room")
        watch = Watch(None, self._cancelled)
        room = self.engine.ready_room(replace(self.plan, fixtures=()), watch)
        responses = Responses(self.plan, room, self.models[0], watch)
        trust = Trust(responses.readings)
        tried: list[_State] = []
        for number, model in enumerate(self.models):
            self._tell(0.1 + 0.4 * number / len(self.models), f"rows of {model.name}")
            search = Search(self.plan, model, self.request, responses, trust, self._cancelled)
            if not len(search.places):
                continue
            self.shelf.in_the_way[model.id] = self._impossible(search)
            tried.append(_State(search, Aligned(search)))
            if self.request.count is not None:
                self._as_many(tried[-1], self.request.count)
            elif self.request.arrangement != "free":
                if len(tried) == 1:
                    self._first(tried[-1])
                self._patterns_of(tried[-1], 1)
        if not tried:
            nowhere = Hindrance("place", "the ceiling: nothing fits anywhere", 1.0, 0.0)
            self.shelf.in_the_way[self.models[0].id] = (nowhere,)
        elif self.request.count is not None:
            best = min(tried, key=lambda state: len(self.shelf.out(state.search)))
            self._brightest(best.search, self.request.count)
        else:
            self._close_in(tried)

    def _close_in(self, tried: list[_State]) -> None:
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

    def _impossible(self, search: Search) -> tuple[Hindrance, ...]:
        """Take out of the demands what cannot be met; where only a number was asked for, nothing is."""
        if all(row.kind == "light" for row in search.demands.rows):
            return ()
        return without_impossible(search, self.plan)

    def _first(self, state: _State) -> None:
        """Have some answer soon: rows, as few as a short look finds."""
        if self.request.minimise == "shadow":
            return
        layout = state.aligned.lines(1, state.search.most, is_hasty=True)
        self._stop_if_asked()
        if layout is not None and self.shelf.keep(state.search, layout):
            state.count = layout.count

    def _patterns_of(self, state: _State, wanted: int) -> None:
        """Recompute the best patterns of a model until ``wanted`` of different kinds hold."""
        search, shelf = state.search, self.shelf
        kinds: set[str] = set()
        tries = 0
        last = search.most if state.count is None else min(search.most, _far(state.count))
        for layout in self._patterns(state):
            if layout.kind in kinds or layout.score < 1.0 + search.trust.margin or shelf.has(search, layout):
                continue
            if layout.count > last or tries >= _TRIES + wanted:
                break
            if shelf.answers and shelf.solved_fixtures + layout.count > _WORTH:
                break
            tries += 1
            if shelf.keep(search, layout):
                if not shelf.answers[-1].short:
                    kinds.add(layout.kind)
                state.count = min(state.count or layout.count, layout.count)
            if len(kinds) >= wanted:
                break

    def _patterns(self, state: _State) -> Iterable[Layout]:
        """Return patterns, fewest fixtures first; where shadow is to be small, a few counts at once, least first."""
        search = state.search
        found = state.aligned.patterns(range(state.aligned.least(), search.most + 1))
        if self.request.minimise != "shadow":
            return found
        some: list[Layout] = []
        for layout in found:
            if some and layout.count > some[0].count + max(2, some[0].count // 3):
                break
            some.append(layout)
        return sorted(some, key=lambda layout: round(search.shadow(layout), 2))

    def _freely(self, state: _State, is_first: bool) -> None:
        """Look for the bound, then for rows and free places that come closer to it."""
        search = state.search
        self._tell(0.5, "how few can do")
        free = FreePlaces(search, self.engine if is_first else None)
        outcome = free.bound(state.count or search.most)
        self._stop_if_asked()
        self.limit_hit |= outcome.limit_hit
        # If nothing on the grid does with so few, a layout off the grid has done it all the same.
        state.bound = state.count if outcome.is_impossible else int(outcome.bound)
        self.states[search.model.id] = state
        self._weigh_hidden(state, free)
        self._report()
        if self.request.minimise == "shadow" and self.shelf.answers:
            return  # with fewer fixtures there is more shadow
        if self.request.arrangement != "free" and state.is_open:
            self._rows_anywhere(state)
        # In a hall rows have always come out with fewer than free places after as long a search [measured].
        is_enough = free.is_hall and state.count is not None and self.request.arrangement == "any"
        if self.request.arrangement != "rows" and state.is_open and not is_enough:
            self._free(state, free)

    def _weigh_hidden(self, state: _State, free: FreePlaces) -> None:
        """Tell how few would do if hidden spots were left out that are insisted on."""
        search = state.search
        hidden = search.hidden_cells()
        if not hidden.any() or state.bound is None:
            return
        without = free.bound_without_hidden()
        self._stop_if_asked()
        counted = int(search.responses.cells[1].sum())
        state.price = HiddenPrice(int(hidden.sum()), counted, state.bound, min(without, state.bound))

    def _rows_anywhere(self, state: _State) -> None:
        self._tell(0.65, "rows anywhere across the room")
        at_most = (state.count or state.search.most + 1) - 1
        for _ in range(_LINE_TRIES if at_most else 0):
            layout = state.aligned.lines(state.bound or 0, at_most)
            self._stop_if_asked()
            if layout is None:
                return
            if self.shelf.keep(state.search, layout):
                state.count = layout.count
                return

    def _free(self, state: _State, free: FreePlaces) -> None:
        at_most = (state.count or state.search.most + 1) - 1
        for number in range(_TRIES):
            self._tell(0.75 + 0.05 * number, "any place of the grid")
            layout, outcome = free.fewest(state.bound or 0, at_most)
            self._stop_if_asked()
            self.limit_hit |= outcome.limit_hit
            if layout is None:
                return
            if not state.search.falls_short(layout) and self.shelf.keep(state.search, layout):
                state.count = layout.count
                return

    def _nearest(self, state: _State) -> None:
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

    def _as_many(self, state: _State, count: int) -> None:
        """Make the light of exactly ``count`` fixtures in rows as good as it can be."""
        kinds: set[str] = set()
        for layout in state.aligned.patterns(range(count, count + 1)):
            if layout.kind not in kinds and len(kinds) < _TIDY:
                kinds.add(layout.kind)
                self.shelf.keep(state.search, layout, as_it_is=True)

    def _brightest(self, search: Search, count: int) -> None:
        """Look for exactly ``count`` places of the grid with the best light."""
        if self.request.arrangement == "rows":
            return
        self._tell(0.7, "any place of the grid")
        free, outcome = FreePlaces(search).brightest(count)
        self._stop_if_asked()
        self.limit_hit |= outcome.limit_hit
        if free is not None:
            self.shelf.keep(search, free, as_it_is=True)
            self.gap = max(0.0, outcome.bound / max(outcome.value, 1e-9) - 1.0)

    # --- telling

    def result(self) -> Result:
        """Return what was found so far."""
        ordered = sorted_answers(self._worth_showing(), self.request)
        state = self.states.get(ordered[0].model.id) if ordered else next(iter(self.states.values()), None)
        bound, gap = (state.bound, self.gap) if state is not None else (None, self.gap)
        if bound is not None and ordered and ordered[0].is_met:
            bound = min(bound, ordered[0].count)
            gap = (ordered[0].count - bound) / ordered[0].count
        first = ordered[0].model.id if ordered else self.models[0].id
        in_the_way = self.shelf.in_the_way.get(first, ())
        return Result(
            self.request,
            ordered,
            bound,
            gap,
            (*as_found(in_the_way, ordered[0].lighting), *ordered[0].short) if ordered else in_the_way,
            self.limit_hit,
            self.is_stopped,
            time.perf_counter() - self._began,
            self.request.step,
            self.first_seconds,
            None if state is None else state.price,
            state is not None and state.search.is_finer,
        )

    def _worth_showing(self) -> list[Answer]:
        """Return the answers but for those that a better one of the same model leaves far behind."""
        fewest: dict[str, int] = {}
        for answer in self.shelf.answers:
            if answer.is_met:
                fewest[answer.model.id] = min(answer.count, fewest.get(answer.model.id, answer.count))
        if self.request.minimise == "shadow" or self.request.count is not None:
            return self.shelf.answers
        return [a for a in self.shelf.answers if a.count <= _far(fewest.get(a.model.id, a.count))]

    def _report(self, early: Answer | None = None) -> None:
        if self.first_seconds is None and self.shelf.answers:
            self.first_seconds = time.perf_counter() - self._began
        if self._found is not None:
            so_far = self.result()
            self._found(replace(so_far, answers=(early,)) if early is not None else so_far)

    def _tell(self, share: float, what: str) -> None:
        self._stop_if_asked()
        if self._progress is not None:
            self._progress(share, what)

    def _stop_if_asked(self) -> None:
        if self._cancelled is not None and self._cancelled():
            raise Cancelled
