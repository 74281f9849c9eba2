"""The answers found so far: every layout is solved in full before it is put here, and only if it holds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.light.engine import LightEngine
from core.light.field import Lighting
from core.plan import Fixture, Plan
from core.suggest.answer import Answer, Hindrance, Points, figures_of
from core.suggest.examine import Examiner
from core.suggest.grouping import brightest_on, shared_out
from core.suggest.layout import Layout
from core.suggest.on_joists import fixtures_on_joists, shifted_to_joists
from core.suggest.promises import meets, promised, with_asked
from core.suggest.request import Request, switch_letters
from core.suggest.search import Search
from core.units import INCH

__all__ = ["Shelf"]

_PROMISES = 8
_ALIKE = 0.02
"""Shares of body shadow, by estimate, that are as good as the same."""


class Shelf:
    """Answers to one request, and what stands in the way of each model.

    Parameters
    ----------
    told
        Told an estimate before the first answer is solved, and None whenever there is another answer.
    """

    def __init__(
        self,
        plan: Plan,
        request: Request,
        engine: LightEngine,
        cancelled: Callable[[], bool] | None,
        told: Callable[[Answer | None], None],
    ) -> None:
        self._plan, self._request, self._engine = plan, request, engine
        self._cancelled, self._told = cancelled, told
        self.answers: list[Answer] = []
        self.in_the_way: dict[str, tuple[Hindrance, ...]] = {}
        self.solved_fixtures = 0
        self._reduced = request.reduced_letters(plan)
        self._examiner = Examiner(plan, request, engine, cancelled)

    def out(self, search: Search) -> set[str]:
        """Return the requirements that do not hold everywhere with a model: they cannot, or some spots are left out."""
        out: set[str] = {part.what for part in self.in_the_way.get(search.model.id, ())}
        return out | {"minimum"} if self._request.minimum and search.leaves_out else out

    def has_met(self, search: Search) -> bool:
        """Tell whether there is an answer with a search's model that meets all that was asked."""
        return any(answer.is_met and answer.model.id == search.model.id for answer in self.answers)

    def has(self, search: Search, layout: Layout) -> bool:
        """Tell whether a layout, or what it becomes on joists, is among the answers already, within an inch."""
        shifted = self._on_joists(search, layout)
        mine = [sorted(map(tuple, one.places.centres.tolist())) for one in (layout, shifted) if one is not None]
        for answer in self.answers:
            theirs = sorted((fixture.x, fixture.y) for fixture in answer.fixtures)
            is_like = answer.model.id == search.model.id and layout.count == len(theirs)
            if is_like and any(np.allclose(places, theirs, atol=INCH) for places in mine):
                return True
        return False

    def keep(self, search: Search, layout: Layout, as_it_is: bool = False) -> bool:
        """Recompute a layout in full and keep it if it holds what was asked; tell whether it does.

        Where joists are to be met, its rows are shifted onto them first; they stay where they were if that holds more.
        """
        self.solved_fixtures += layout.count
        shifted = self._on_joists(search, layout)
        answer = None if shifted is None else self._worked_out(search, shifted, is_trial=True)
        if answer is None or shifted is None or self._may_miss_less(search, layout, shifted, answer):
            answer = self._worked_out(search, layout, as_it_is)
        if answer is None:
            return False
        self.answers.append(answer)
        self._told(None)
        return True

    def _may_miss_less(self, search: Search, layout: Layout, shifted: Layout, answer: Answer) -> bool:
        """Whether a layout may hold what it misses on joists; what a body takes is estimated, to save the full work."""
        missed = {part.what for part in answer.short} - {"circuits"}
        if missed == {"body shadow"}:
            return search.shadow(layout) < search.shadow(shifted) - _ALIKE
        return bool(missed)

    def _on_joists(self, search: Search, layout: Layout) -> Layout | None:
        if not self._request.on_joists:
            return None
        places = shifted_to_joists(search.ceiling, layout.places, self._request.symmetric)
        return None if places is None else search.layout(layout.kind, places)

    def _worked_out(
        self, search: Search, layout: Layout, as_it_is: bool = False, is_trial: bool = False
    ) -> Answer | None:
        """Return a layout solved in full and examined; None where it does not hold what was asked.

        Nothing is made of the failure of a trial, beside which there is another layout.
        """
        fixtures = self._switched(search, layout)
        first = self._estimate(search, layout, fixtures)
        if not self.answers:
            self._told(first)
        lighting = self._solved(search, fixtures)
        figures, out = figures_of(lighting, self._reduced), self.out(search)
        is_met = meets(self._plan, self._request, search, lighting, figures, out)
        search.learn(layout.places, lighting)
        if not (is_met or as_it_is):
            if not is_trial and not search.look_closer(layout, lighting):
                search.trust.missed()
            return None
        answer = replace(first, recomputed=figures, lighting=lighting, points=self._points(search, lighting))
        if is_met:
            answer = replace(answer, promised=with_asked(self._request, out, answer.promised))
        on = [fixture for fixture in fixtures if fixture.group in self._reduced]
        for number in range(_PROMISES):
            if answer.holds:
                break
            # What was only estimated, not asked for, is promised anew from what has been learnt, each time less.
            said = promised(search, layout, on, 0.97**number)
            answer = replace(answer, promised=with_asked(self._request, out, said) if is_met else said)
        if not answer.holds:
            return None
        answer = replace(answer, is_met=is_met and not self.in_the_way.get(search.model.id))
        return self._examiner.examined(answer, self._with(search, fixtures))

    def _points(self, search: Search, lighting: Lighting) -> Points | None:
        if not self._request.minimum:
            return None
        insisted, counted = search.insisted_on(lighting), lighting.counted[lighting.inside]
        light = lighting.responses.sum(axis=1)[insisted]
        left_out = int(counted.sum()) - int(insisted.sum())
        return Points(int(counted.sum()), left_out, float(light.min(initial=np.inf)) if light.size else 0.0)

    def _estimate(self, search: Search, layout: Layout, fixtures: tuple[Fixture, ...]) -> Answer:
        setting = search.model.settings[search.ceiling.setting]
        cost, watts = search.model.price * layout.count, setting.watts * layout.count
        on = [fixture for fixture in fixtures if fixture.group in self._reduced]
        return Answer(
            layout.kind,
            search.model,
            fixtures,
            cost,
            watts,
            promised(search, layout, on),
            reduced=self._reduced,
            on_joists=fixtures_on_joists(search.ceiling.plan, fixtures),
        )

    def _switched(self, search: Search, layout: Layout) -> tuple[Fixture, ...]:
        fixtures = search.ceiling.fixtures(layout.places)
        order = sorted(range(len(fixtures)), key=lambda k: (-round(fixtures[k].y, 2), fixtures[k].x))
        fixtures = [fixtures[k] for k in order]
        readings = search.responses.readings
        columns = search.responses.of(fixtures, search.model)[readings.average]
        centres = np.array([(f.x, f.y) for f in fixtures])
        letters = shared_out(columns, centres, switch_letters(self._plan, self._request))
        if self._reduced:
            letters = brightest_on(letters, columns.mean(axis=0), self._reduced)
        return tuple(
            replace(fixture, id=f"suggested-{number + 1}", group=letter)
            for number, (fixture, letter) in enumerate(zip(fixtures, letters, strict=True))
        )

    def _solved(self, search: Search, fixtures: tuple[Fixture, ...]) -> Lighting:
        return self._engine.solve(self._with(search, fixtures), cancelled=self._cancelled)

    @staticmethod
    def _with(search: Search, fixtures: tuple[Fixture, ...]) -> Plan:
        return replace(search.ceiling.plan, fixtures=fixtures, groups=())
