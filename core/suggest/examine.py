"""Checks answers at full quality for what the search itself does not weigh, and says what they miss by how much."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from core.checks.body_shadow import losses
from core.checks.checker import Checker
from core.checks.standing import stands
from core.checks.survey import Survey
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.roomlight import Watch
from core.light.sources import sources_of
from core.plan import Plan
from core.suggest.answer import Answer, Hindrance, with_answer
from core.suggest.comfort import Comfort, circuit_need
from core.suggest.request import Request

__all__ = ["Examiner", "shadows_at_benches"]


class Examiner:
    """Examines the answers to one request; the rooms with a worker in them are kept from one answer to the next."""

    def __init__(self, plan: Plan, request: Request, engine: LightEngine, cancelled: Callable[[], bool] | None) -> None:
        self._plan, self._request, self._engine, self._cancelled = plan, request, engine, cancelled
        self._checker = Checker(engine)

    def examined(self, answer: Answer, solved: Plan) -> Answer:
        """Return an answer with its comfort, its circuits and what it misses.

        ``solved`` is the plan whose full light the answer has: the proposed fixtures alone.
        """
        assert answer.lighting is not None
        comfort = self._comfort(solved, answer.lighting)
        answer = replace(answer, comfort=comfort, circuits=circuit_need(with_answer(self._plan, answer)))
        short = tuple(self._missed(answer, comfort))
        return replace(answer, short=short, is_met=answer.is_met and not short)

    def _comfort(self, plan: Plan, lighting: Lighting) -> Comfort:
        found = Comfort()
        if self._request.looks_at_shadow:
            found = replace(found, shadows=shadows_at_benches(self._checker, plan, lighting, self._cancelled))
        if self._request.glare_limit:
            value, where = self._glare(plan)
            found = replace(found, glare=value, glare_at=where)
        return found

    def _glare(self, plan: Plan) -> tuple[float | None, str]:
        """Return the worst UGR of all standing places and views of the plan, and where it is."""
        room = self._engine.ready_room(plan, Watch(None, self._cancelled))
        survey = Survey(plan, stands(plan), room.enclosure, room.blockers)
        sources = sources_of(plan)
        views = survey.ask(self._engine, sources, self._cancelled).views
        everything = np.ones(len(sources))
        values = [(view.glare.ugr(everything), view.name) for view in views]
        return max(values, key=lambda pair: pair[0]) if values else (None, "")

    def _missed(self, answer: Answer, comfort: Comfort) -> Iterator[Hindrance]:
        request = self._request
        names = {bench.id: bench.name for bench in self._plan.benches()}
        if request.shadow_limit:
            for bench, share in comfort.shadows:
                if share > request.shadow_limit:
                    where = names.get(bench, bench)
                    yield Hindrance("body shadow", where, request.shadow_limit, share, is_proven=False)
        if request.glare_limit and comfort.glare is not None and comfort.glare > request.glare_limit:
            yield Hindrance("glare", comfort.glare_at, request.glare_limit, comfort.glare, is_proven=False)
        need = answer.circuits
        if request.circuits and need is not None and need.circuits > request.circuits:
            wanted, needed = float(request.circuits), float(need.circuits)
            yield Hindrance("circuits", "the lights", wanted, needed, is_proven=False)
        found = answer.recomputed
        if request.reduced_average and found is not None and (found.reduced or 0.0) < request.reduced_average:
            where = f"the work plane with only {' and '.join(answer.reduced)} on"
            yield Hindrance("reduced average", where, request.reduced_average, found.reduced or 0.0, is_proven=False)


def shadows_at_benches(
    checker: Checker, plan: Plan, lighting: Lighting, cancelled: Callable[[], bool] | None = None
) -> tuple[tuple[str, float], ...]:
    """Return (bench id, share of the light at the hands that the body takes) with everything on, from the full light.

    Nobody stands at the machines meanwhile, to save their time.
    """
    furniture = tuple(item if item.kind == "bench" else replace(item, worker_side="nobody") for item in plan.furniture)
    benches = replace(plan, furniture=furniture, checking=replace(plan.checking, views=(), cameras=()))
    study = checker.study(benches, lighting, cancelled=cancelled)
    everything = np.ones(len(study.sources))
    return tuple((shadow.stand.item.id, losses(shadow, everything).spot) for shadow in study.shadows)
