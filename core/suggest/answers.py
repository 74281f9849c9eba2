"""'Place them for me': several good layouts, different in kind, each recomputed, with a bound on how few can do.

First aligned patterns, then rows that an integer program chooses, then free places of the grid, whose program gives the
bound: no layout of the model on the grid does with fewer. Every layout is solved at full quality before it counts; one
that falls short of the request raises the margin and is looked for again. Figures promised are the quick ones less the
margin.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from core.light.engine import LightEngine
from core.light.roomlight import Cancelled, Watch
from core.plan import Model, Plan
from core.suggest.answer import Answer, Hindrance, Result, sorted_answers
from core.suggest.candidates import places_of
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
class _Best:
    """The fewest fixtures found for one model."""

    search: Search
    count: int | None = None

    @property
    def size(self) -> float:
        return float("inf") if self.count is None else self.search.size(self.count)


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
        self.bound: int | None = None
        self.bound_model = ""
        self.gap: float | None = None
        self.limit_hit = self.is_stopped = False

    def run(self) -> None:
        """Look for layouts, the quickest ways first."""
        self._tell(0.02, "looking at the room")
        watch = Watch(None, self._cancelled)
        responses = Responses(self.plan, self.engine.cell(self.plan), self.models[0], watch)
        trust = Trust(responses.readings)
        tried = []
        for number, model in enumerate(self.models):
            self._tell(0.1 + 0.4 * number / len(self.models), f"rows of {model.name}")
            search = Search(self.plan, model, self.request, responses, trust, self._cancelled)
            if not len(search.places):
                continue
            self.shelf.in_the_way[model.id] = self._impossible(search)
            tried.append(_Best(search))
            if self.request.count is not None:
                self._as_many(search, self.request.count)
            else:
                self._aligned(tried[-1], _TIDY if len(tried) == 1 else 1)
        if not tried:
            nowhere = Hindrance("place", "the ceiling: nothing fits anywhere", 1.0, 0.0)
            self.shelf.in_the_way[self.models[0].id] = (nowhere,)
            return
        best = min(tried, key=lambda state: (len(self.shelf.out(state.search)), state.size))
        if self.request.count is not None:
            self._brightest(best.search, self.request.count)
        else:
            self._freely(best)

    def _impossible(self, search: Search) -> tuple[Hindrance, ...]:
        """Take out of the demands what cannot be met; where only a number was asked for, nothing is."""
        if all(row.kind == "light" for row in search.demands.rows):
            return ()
        return without_impossible(search, self.plan)

    def _aligned(self, state: _Best, wanted: int) -> None:
        """Recompute the best patterns of a model until ``wanted`` of different kinds hold."""
        search, shelf = state.search, self.shelf
        kinds: set[str] = set()
        tries = 0
        last = search.most
        for layout in self._patterns(search):
            if layout.kind in kinds or layout.score < 1.0 + search.trust.margin:
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
                # Another kind may need one fixture more; what needs more than that is no good answer.
                if self.request.minimise != "shadow":
                    last = min(last, layout.count + 1)
            if len(kinds) >= wanted:
                break

    def _patterns(self, search: Search) -> Iterable[Layout]:
        """Return patterns, fewest fixtures first; where shadow is to be small, a few counts at once, least first."""
        found = search.patterns(range(search.least(), search.most + 1))
        if self.request.minimise != "shadow":
            return found
        some: list[Layout] = []
        for layout in found:
            if some and layout.count > some[0].count + max(2, some[0].count // 3):
                break
            some.append(layout)
        return sorted(some, key=lambda layout: round(search.shadow(layout), 2))

    def _freely(self, best: _Best) -> None:
        """Look for the bound, then for rows and free places that come closer to it."""
        search = best.search
        self._tell(0.5, "how few can do")
        self._sharpen(search)
        outcome = search.bound(best.count or search.most)
        self._stop_if_asked()
        self.limit_hit |= outcome.limit_hit
        # If nothing on the grid does with so few, a layout off the grid has done it all the same.
        self.bound = best.count if outcome.is_impossible else int(outcome.bound)
        self.bound_model = search.model.id
        self._set_gap(best.count)
        self._report()
        if self.request.minimise == "shadow" and self.shelf.answers:
            return  # with fewer fixtures there is more shadow
        if self.request.arrangement != "free" and self._is_open(best):
            self._rows_anywhere(best)
        if self.request.arrangement != "rows" and self._is_open(best):
            self._free(best)
        if not self.shelf.answers:
            self._nearest(search)
        self._set_gap(best.count)

    def _sharpen(self, search: Search) -> None:
        """Go on with finer columns, and learn from the layouts that are solved already."""
        watch = Watch(None, self._cancelled)
        search.responses.sharpen(self.engine.ready_room(replace(search.ceiling.plan, fixtures=()), watch))
        search.trust.restart()
        for answer in self.shelf.answers:
            if answer.model.id == search.model.id and answer.lighting is not None:
                search.learn(places_of(answer.fixtures), answer.lighting)

    def _is_open(self, best: _Best) -> bool:
        """Tell whether fewer might do."""
        return best.count is None or best.count > (self.bound or 0)

    def _rows_anywhere(self, best: _Best) -> None:
        search = best.search
        self._tell(0.65, "rows anywhere across the room")
        at_most = (best.count or search.most + 1) - 1
        for _ in range(_LINE_TRIES if at_most else 0):
            layout = search.lines(self.bound or 0, at_most)
            if layout is None or search.falls_short(layout):
                return
            if self.shelf.keep(search, layout):
                best.count = layout.count
                return

    def _free(self, best: _Best) -> None:
        search = best.search
        at_most = (best.count or search.most + 1) - 1
        for number in range(_TRIES):
            self._tell(0.75 + 0.05 * number, "any place of the grid")
            layout, outcome = search.free(self.bound or 0, at_most)
            self._stop_if_asked()
            self.limit_hit |= outcome.limit_hit
            if layout is None:
                return
            if not search.falls_short(layout) and self.shelf.keep(search, layout):
                best.count = layout.count
                return

    def _nearest(self, search: Search) -> None:
        """Nothing was found that meets all: offer what comes nearest, and say how far it falls short."""
        self._tell(0.95, "what comes nearest")
        shelf = self.shelf
        count = min(search.most, max(int(1.5 * (self.bound or 0)), _NEAREST))
        layout, outcome = search.brightest(count, exactly=False)
        if layout is None and search.give_up_evenness():
            layout, outcome = search.brightest(count, exactly=False)
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

    def _as_many(self, search: Search, count: int) -> None:
        """Make the light of exactly ``count`` fixtures in rows as good as it can be."""
        kinds: set[str] = set()
        for layout in search.patterns(range(count, count + 1)):
            if layout.kind not in kinds and len(kinds) < _TIDY:
                kinds.add(layout.kind)
                self.shelf.keep(search, layout, as_it_is=True)

    def _brightest(self, search: Search, count: int) -> None:
        """Look for exactly ``count`` places of the grid with the best light."""
        if self.request.arrangement == "rows":
            return
        self._tell(0.7, "any place of the grid")
        free, outcome = search.brightest(count)
        self._stop_if_asked()
        self.limit_hit |= outcome.limit_hit
        if free is not None:
            self.shelf.keep(search, free, as_it_is=True)
            self.gap = max(0.0, outcome.bound / max(outcome.value, 1e-9) - 1.0)

    # --- telling

    def _set_gap(self, count: int | None) -> None:
        if self.bound is None or not count:
            self.gap = None
            return
        self.bound = min(self.bound, count)
        self.gap = (count - self.bound) / count

    def result(self) -> Result:
        """Return what was found so far."""
        ordered = sorted_answers(self.shelf.answers, self.request)
        bound, gap = self.bound, self.gap
        if ordered and bound is not None and ordered[0].model.id != self.bound_model:
            bound = gap = None
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
        )

    def _report(self, early: Answer | None = None) -> None:
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
