"""'Place them for me': several good layouts, different in kind, each recomputed, with a bound on how few can do.

First aligned patterns, then rows that an integer program chooses, then free places of the grid, whose program gives the
bound: no layout of the model on the grid does with fewer. Every layout is solved at full quality before it counts; one
that falls short of the request raises the margin and is looked for again. Figures promised are the quick ones less the
margin.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.roomlight import Cancelled, Watch
from core.plan import Fixture, Model, Plan
from core.suggest.answer import Answer, Hindrance, LightFigures, Result, figures_of, sorted_answers
from core.suggest.grouping import LETTERS, shared_out
from core.suggest.hindrances import without_impossible
from core.suggest.request import Request, replaced_ids
from core.suggest.responses import Responses
from core.suggest.search import Layout, Search
from core.suggest.trust import Trust

__all__ = ["suggest"]

_MODELS = 3
"""Most models of one request that are looked at."""
_TRIES = 4
"""Times that a layout is looked for again with a larger margin."""
_PROMISES = 8
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
    """One run of the search; holds what was found so far."""

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
        self.answers: list[Answer] = []
        self.bound: int | None = None
        self.bound_model = ""
        self.gap: float | None = None
        self.in_the_way: dict[str, tuple[Hindrance, ...]] = {}
        self.limit_hit = self.is_stopped = False
        self._recomputed_fixtures = 0

    # --- what happens

    def run(self) -> None:
        """Look for layouts, the quickest ways first."""
        self._tell(0.02, "looking at the room")
        watch = Watch(None, self._cancelled)
        responses = Responses(self.plan, self.engine.cell(self.plan), self.models[0], watch)
        trust = Trust(responses.readings)
        searches = []
        for number, model in enumerate(self.models):
            self._tell(0.1 + 0.15 * number / len(self.models), f"light of {model.name}")
            search = Search(self.plan, model, self.request, responses, trust, self._cancelled)
            if len(search.places):
                searches.append(search)
                self.in_the_way[model.id] = self._impossible(search)
        if not searches:
            self.in_the_way[self.models[0].id] = (Hindrance("place", "the ceiling: nothing fits anywhere", 1.0, 0.0),)
            return
        searches.sort(key=lambda search: len(self.in_the_way[search.model.id]))
        if self.request.count is not None:
            self._as_many(searches, self.request.count)
            return
        best = self._aligned(searches)
        self._freely(best)

    def _impossible(self, search: Search) -> tuple[Hindrance, ...]:
        """Take out of the demands what cannot be met; where only a number was asked for, nothing is."""
        if all(row.kind == "light" for row in search.demands.rows):
            return ()
        return without_impossible(search, self.plan)[1]

    def _aligned(self, searches: list[Search]) -> _Best:
        """Find patterns for every model, recompute them, and return the best model."""
        found = []
        for number, search in enumerate(searches):
            self._tell(0.25 + 0.2 * number / len(searches), f"rows of {search.model.name}")
            state = _Best(search)
            for layout in self._recomputed(search, _TIDY if number == 0 else 1):
                state.count = min(state.count or layout, layout)
            found.append(state)
        return min(found, key=lambda state: (len(self.in_the_way[state.search.model.id]), state.size))

    def _recomputed(self, search: Search, wanted: int) -> list[int]:
        """Recompute the best patterns of a model until ``wanted`` of different kinds hold; return their counts."""
        counts: list[int] = []
        kinds: set[str] = set()
        tries = 0
        last = search.most
        for layout in search.patterns(range(1, search.most + 1)):
            if layout.kind in kinds or layout.score < 1.0 + search.trust.margin:
                continue
            if layout.count > last or tries >= _TRIES + wanted:
                break
            if self.answers and self._recomputed_fixtures + layout.count > _WORTH:
                break
            tries += 1
            if self._keep(search, layout):
                kinds.add(layout.kind)
                counts.append(layout.count)
                # Another kind may need one fixture more; what needs more than that is no good answer.
                last = min(last, layout.count + 1)
            if len(counts) >= wanted:
                break
        return counts

    def _freely(self, best: _Best) -> None:
        """Look for rows and free places that need fewer, and for the bound."""
        search = best.search
        if self.request.arrangement != "free":
            self._tell(0.5, "rows anywhere across the room")
            at_most = (best.count or search.most + 1) - 1
            layout = search.lines(at_most) if at_most else None
            for _ in range(_TRIES):
                if layout is None:
                    break
                if self._keep(search, layout):
                    best.count = layout.count
                    break
                layout = search.lines(at_most)
        self._tell(0.65, "how few can do")
        known = best.count or search.most
        outcome = search.bound(search.trust.deviation, known)
        self._stop_if_asked()
        self.limit_hit |= outcome.limit_hit
        if outcome.is_impossible:
            # Nothing on the grid does with so few, yet a layout off the grid may have done it.
            self.bound = best.count
        else:
            self.bound = int(outcome.bound)
        self.bound_model = search.model.id
        self._set_gap(best.count)
        self._report()
        if self.request.arrangement != "rows" and (best.count is None or best.count > (self.bound or 0)):
            self._free(best)
        if not self.answers:
            self._nearest(search)
        self._set_gap(best.count)

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
            if self._keep(search, layout):
                best.count = layout.count
                return

    def _nearest(self, search: Search) -> None:
        """Nothing was found that meets all: offer what comes nearest, and say how far it falls short."""
        self._tell(0.95, "what comes nearest")
        count = min(search.most, max(int(1.5 * (self.bound or 0)), _NEAREST))
        layout, outcome = search.brightest(count, exactly=False)
        if layout is None and search.give_up_evenness():
            layout, outcome = search.brightest(count, exactly=False)
        self.limit_hit |= outcome.limit_hit
        if layout is None or not self._keep(search, layout, as_it_is=True):
            return
        figures = self.answers[-1].recomputed
        assert figures is not None
        known = self.in_the_way[search.model.id]
        told = {part.what for part in known}
        asked: tuple[tuple[str, float, float], ...] = (
            ("average", self.request.average, figures.average),
            ("minimum", self.request.minimum, figures.minimum),
            ("evenness", self.request.evenness, figures.evenness),
        )
        short = [
            Hindrance(what, f"the work plane, with {layout.count} fixtures", wanted, got, is_proven=False)
            for what, wanted, got in asked
            if got < wanted and what not in told
        ]
        self.in_the_way[search.model.id] = (*known, *short)
        self.answers[-1] = replace(self.answers[-1], is_met=self.answers[-1].is_met and not short)

    def _as_many(self, searches: list[Search], count: int) -> None:
        """Make the light of exactly ``count`` fixtures as good as it can be."""
        for number, search in enumerate(searches):
            self._tell(0.3 + 0.3 * number / len(searches), f"{count} x {search.model.name}")
            kinds: set[str] = set()
            for layout in search.patterns(range(count, count + 1)):
                if layout.kind not in kinds and len(kinds) < _TIDY:
                    kinds.add(layout.kind)
                    self._keep(search, layout, as_it_is=True)
        search = searches[0]
        if self.request.arrangement != "rows":
            self._tell(0.7, "any place of the grid")
            free, outcome = search.brightest(count)
            self._stop_if_asked()
            self.limit_hit |= outcome.limit_hit
            if free is not None:
                self._keep(search, free, as_it_is=True)
                value = max(outcome.value, 1e-9)
                self.gap = max(0.0, outcome.bound / value - 1.0)

    # --- keeping a layout

    def _keep(self, search: Search, layout: Layout, as_it_is: bool = False) -> bool:
        """Recompute a layout in full and keep it if it holds what was asked; tell whether it does."""
        fixtures = self._switched(search, layout)
        first = self._answer(search, layout, fixtures)
        if not self.answers:
            self._report(first)
        lighting = self._solved(search, fixtures)
        self._recomputed_fixtures += layout.count
        figures = figures_of(lighting)
        is_met = self._meets(search, figures)
        search.learn(layout, lighting)
        if not (is_met or as_it_is):
            if not search.look_closer(layout, lighting):
                search.trust.missed()
            return False
        answer = replace(first, recomputed=figures, lighting=lighting, is_met=is_met)
        if is_met:
            answer = replace(answer, promised=self._with_asked(search, answer.promised))
        for number in range(_PROMISES):
            if answer.holds:
                break
            # What was only estimated, not asked for, is promised anew from what has been learnt, each time less.
            promised = self._promise(search, layout, 0.97**number)
            answer = replace(answer, promised=self._with_asked(search, promised) if is_met else promised)
        if not answer.holds:
            return False
        complete = is_met and not self.in_the_way[search.model.id]
        self.answers.append(replace(answer, is_met=complete))
        self._report()
        return True

    def _answer(self, search: Search, layout: Layout, fixtures: tuple[Fixture, ...]) -> Answer:
        setting = search.model.settings[search.ceiling.setting]
        return Answer(
            layout.kind,
            search.model,
            fixtures,
            search.model.price * layout.count,
            setting.watts * layout.count,
            self._promise(search, layout),
        )

    def _promise(self, search: Search, layout: Layout, share: float = 1.0) -> LightFigures:
        """Return the figures of a layout by corrected quick light, less the margin, times a share."""
        readings, trust = search.responses.readings, search.trust
        light = search.expected(layout.places) * (1.0 - trust.margin) * share
        room = light[readings.room]
        average = float(light[readings.average].mean()) * trust.average_factor if readings.average.any() else 0.0
        minimum = float(room.min()) if room.size else 0.0
        benches = tuple(
            (bench, float(light[readings.bench == k].mean()) * 0.99, float(light[readings.bench == k].min()) * 0.98)
            for k, bench in enumerate(readings.benches)
            if (readings.bench == k).any()
        )
        even = minimum / average * (1.0 - trust.margin) * share if average > 0.0 else 0.0
        return LightFigures(average, minimum, even, benches)

    def _with_asked(self, search: Search, said: LightFigures) -> LightFigures:
        """Promise what was asked for as well, where it can be had at all: no layout that misses it is offered."""
        request, out = self.request, {part.what for part in self.in_the_way[search.model.id]}
        return replace(
            said,
            average=said.average if "average" in out else max(said.average, request.average),
            minimum=said.minimum if "minimum" in out else max(said.minimum, request.minimum),
            evenness=said.evenness if "evenness" in out else max(said.evenness, request.evenness),
        )

    def _meets(self, search: Search, figures: LightFigures) -> bool:
        """Tell whether full figures meet the request, as far as it can be met at all."""
        request = self.request
        out = {part.what for part in self.in_the_way[search.model.id]}
        benches = {bench.id: bench for bench in self.plan.benches()}
        checks = [figures.average >= request.average or "average" in out]
        if request.minimum and "minimum" not in out:
            checks.append(figures.minimum >= request.minimum)
        if request.evenness and "evenness" not in out:
            checks.append(figures.evenness >= request.evenness)
        for identity, average, minimum in figures.benches:
            if request.benches and "bench average" not in out:
                checks.append(average >= (benches[identity].target_lux or self.plan.targets.lux))
            if request.bench_minimum and "bench minimum" not in out:
                checks.append(minimum >= request.bench_minimum)
        return all(checks)

    def _switched(self, search: Search, layout: Layout) -> tuple[Fixture, ...]:
        fixtures = search.ceiling.fixtures(layout.places)
        order = sorted(range(len(fixtures)), key=lambda k: (-round(fixtures[k].y, 2), fixtures[k].x))
        fixtures = [fixtures[k] for k in order]
        readings = search.responses.readings
        columns = search.responses.of(fixtures, search.model)[readings.average]
        centres = np.array([(f.x, f.y) for f in fixtures])
        letters = shared_out(columns, centres, self._letters())
        return tuple(
            replace(fixture, id=f"suggested-{number + 1}", group=letter)
            for number, (fixture, letter) in enumerate(zip(fixtures, letters, strict=True))
        )

    def _letters(self) -> list[str]:
        """Return the switches: those of the fixtures that make way, then further letters."""
        gone = set(replaced_ids(self.plan))
        used = sorted({fixture.group for fixture in self.plan.fixtures if fixture.id in gone})
        kept = {fixture.group for fixture in self.plan.fixtures if fixture.id not in gone}
        spare = [letter for letter in LETTERS if letter not in used and letter not in kept]
        return [*used, *spare][: max(1, self.request.groups or len(used))]

    def _solved(self, search: Search, fixtures: tuple[Fixture, ...]) -> Lighting:
        plan = replace(search.ceiling.plan, fixtures=fixtures, groups=())
        return self.engine.solve(plan, cancelled=self._cancelled)

    # --- telling

    def _set_gap(self, count: int | None) -> None:
        if self.bound is None or not count:
            self.gap = None
            return
        self.bound = min(self.bound, count)
        self.gap = (count - self.bound) / count

    def result(self) -> Result:
        """Return what was found so far."""
        ordered = sorted_answers(self.answers, self.request)
        bound, gap = self.bound, self.gap
        if ordered and bound is not None and ordered[0].model.id != self.bound_model:
            bound = gap = None
        first = ordered[0].model.id if ordered else self.models[0].id
        return Result(
            self.request,
            ordered,
            bound,
            gap,
            self.in_the_way.get(first, ()),
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
