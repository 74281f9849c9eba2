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
from dataclasses import replace

from core.light.engine import LightEngine
from core.light.roomlight import Cancelled, Watch
from core.plan import Model, Plan
from core.suggest.aligned import Aligned
from core.suggest.alike import few_that_miss
from core.suggest.answer import Answer, Hindrance, Result, sorted_answers
from core.suggest.closing_in import ClosingIn, State, far
from core.suggest.free import FreePlaces, least_parts, soon_anywhere
from core.suggest.hindrances import as_found, without_impossible
from core.suggest.layout import Layout
from core.suggest.request import MOST_MODELS, Request
from core.suggest.responses import Responses
from core.suggest.search import Search
from core.suggest.shelf import Shelf
from core.suggest.spacing import soon
from core.suggest.spread_out import spread_patterns
from core.suggest.trust import Trust

__all__ = ["suggest"]

_TRIES = 3
"""Times that a layout is looked for again with a larger margin."""
_WORTH = 36
"""Fixtures that are recomputed for the sake of further kinds of answers: in a hall each takes half a second."""
_SOON = 1.35
"""How many fixtures, for one that parts of fixtures would do with, the first answer has at the least."""
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
        self.models = request.chosen_models(plan, catalogue)[:MOST_MODELS]
        self._progress, self._cancelled, self._found = progress, cancelled, found
        self._began = time.perf_counter()
        self.shelf = Shelf(plan, request, engine, cancelled, self._report)
        self._closing_in = ClosingIn(self.shelf, request, self.engine, self._tell, self._stop_if_asked, self._report)
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
        tried: list[State] = []
        for number, model in enumerate(self.models):
            self._tell(0.1 + 0.4 * number / len(self.models), f"rows of {model.name}")
            search = Search(self.plan, model, self.request, responses, trust, self._cancelled)
            if not len(search.places):
                continue
            tried.append(State(search, Aligned(search)))
            is_wanted = len(tried) == 1 and self.request.count is None and self.request.arrangement != "free"
            is_wanted &= not self.request.is_average_alone
            if is_wanted and not search.is_vast:
                self._soon(tried[-1])
            self.shelf.in_the_way[model.id] = self._impossible(search)
            if self.request.count is not None:
                self._as_many(tried[-1], self.request.count)
            elif self.request.arrangement != "free":
                if is_wanted and not self.shelf.answers:
                    self._first(tried[-1])
                self._patterns_of(tried[-1], _TIDY if self.request.is_average_alone else 1)
        if not tried:
            nowhere = Hindrance("place", "the ceiling: nothing fits anywhere", 1.0, 0.0)
            self.shelf.in_the_way[self.models[0].id] = (nowhere,)
        elif self.request.count is not None:
            best = min(tried, key=lambda state: len(self.shelf.out(state.search)))
            self._brightest(best.search, self.request.count)
        else:
            self._closing_in.run(tried)

    def _impossible(self, search: Search) -> tuple[Hindrance, ...]:
        """Take out of the demands what cannot be met; where only a number was asked for, nothing is."""
        if all(row.kind == "light" for row in search.demands.rows):
            return ()
        return without_impossible(search, self.plan)

    def _soon(self, state: State) -> None:
        """Have some answer soon, before what cannot be met is looked at: rows of more fixtures than it may take."""
        parts = least_parts(state.search)
        if not parts or self.request.symmetric or self.request.minimise == "shadow":
            return
        search, count = state.search, math.ceil(_SOON * parts)
        # A gap that is lit from between the grid's places only takes rows on a finer grid, which is half a second more.
        is_free = search.is_finer and not search.is_vast and self.request.arrangement == "any"
        layout = soon_anywhere(search, count) if is_free else soon(search, state.aligned, count)
        self._keep_first(state, layout)

    def _first(self, state: State) -> None:
        """Have some answer: rows, as few as a short look finds."""
        if self.request.minimise == "shadow":
            return
        self._soon(state)
        if not self.shelf.answers:
            self._keep_first(state, state.aligned.lines(1, state.search.most, is_hasty=True))

    def _keep_first(self, state: State, layout: Layout | None) -> None:
        self._stop_if_asked()
        if layout is not None and self.shelf.keep(state.search, layout):
            state.count = layout.count

    def _patterns_of(self, state: State, wanted: int) -> None:
        """Recompute the best patterns of a model until ``wanted`` of different kinds hold."""
        search, shelf = state.search, self.shelf
        kinds: set[str] = set()
        tries = 0
        # An average alone is had by patterns only, so that every model is worth some.
        before = shelf.solved_fixtures if self.request.is_average_alone and state.count is None else 0
        last = search.most if state.count is None else min(search.most, far(state.count))
        for layout in self._patterns(state):
            if layout.kind in kinds or layout.score < 1.0 + search.trust.margin or shelf.has(search, layout):
                continue
            if layout.count > last or tries >= _TRIES + wanted:
                break
            if shelf.answers and shelf.solved_fixtures - before + layout.count > _WORTH:
                break
            tries += 1
            if shelf.keep(search, layout):
                if not shelf.answers[-1].short:
                    kinds.add(layout.kind)
                state.count = min(state.count or layout.count, layout.count)
            if len(kinds) >= wanted:
                break

    def _patterns(self, state: State) -> Iterable[Layout]:
        """Return patterns, fewest fixtures first; where shadow is to be small, a few counts at once, least first."""
        search = state.search
        counts = range(state.aligned.least(), search.most + 1)
        if self.request.is_average_alone:
            found = spread_patterns(search, state.aligned, counts)
        else:
            found = state.aligned.patterns(counts)
        if self.request.minimise != "shadow":
            return found
        some: list[Layout] = []
        for layout in found:
            if some and layout.count > some[0].count + max(2, some[0].count // 3):
                break
            some.append(layout)
        return sorted(some, key=lambda layout: round(search.shadow(layout), 2))

    def _as_many(self, state: State, count: int) -> None:
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
        ordered = few_that_miss(sorted_answers(self._worth_showing(), self.request))
        state = (
            self._closing_in.states.get(ordered[0].model.id)
            if ordered
            else next(iter(self._closing_in.states.values()), None)
        )
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
            self.limit_hit or self._closing_in.limit_hit,
            self.is_stopped,
            time.perf_counter() - self._began,
            self.request.step,
            self.first_seconds,
            None if state is None else state.price,
            state is not None and state.search.is_finer,
        )

    def _worth_showing(self) -> list[Answer]:
        """Return the answers but for those that a better one leaves far behind, and the best of each kind only."""
        if self.request.minimise == "shadow" or self.request.count is not None:
            return self.shelf.answers
        met = [answer for answer in self.shelf.answers if answer.is_met]
        fewest: dict[str, int] = {}
        best: dict[tuple[str, str], Answer] = {}
        for answer in sorted(met, key=lambda answer: answer.count):
            fewest.setdefault(answer.model.id, answer.count)
            best.setdefault((answer.model.id, answer.kind), answer)
        return [
            answer
            for answer in self.shelf.answers
            if answer.count <= far(fewest.get(answer.model.id, answer.count))
            and best.get((answer.model.id, answer.kind), answer) is answer
        ]

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
