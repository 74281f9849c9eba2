"""Makes the study of a plan: light at eyes, faces, racks and surfaces in one go, shadows bench by bench.

All of it is kept by value, so a renamed fixture, another target or a turned switch works out nothing.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import replace
from typing import TypeVar

from core.checks.body_shadow import COARSE_STEP, BodyShadow, cast, cast_in_full, tops_only
from core.checks.standing import Stand, at_work_height, stands
from core.checks.study import Study
from core.checks.survey import Survey
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.keys import room_key
from core.light.roomlight import Cancelled, Watch
from core.light.sources import sources_of
from core.light.visibility import Blockers, blockers_of
from core.plan import Plan

__all__ = ["Checker"]

KEPT_SHADOWS, KEPT_STUDIES, KEPT_ENGINES = 24, 3, 12
Progress = Callable[[float, str], None]
Call = Callable[[], bool] | None
_Key = TypeVar("_Key")
_Value = TypeVar("_Value")


class Checker:
    """Makes studies, and keeps what it worked out by value."""

    def __init__(self, engine: LightEngine) -> None:
        self._engine = engine
        self._coarse = LightEngine(step=COARSE_STEP)
        self._bench_engines: OrderedDict[str, LightEngine] = OrderedDict()
        self._shadows: OrderedDict[Hashable, BodyShadow] = OrderedDict()
        self._studies: OrderedDict[Hashable, Study] = OrderedDict()
        self.shadows_made = 0

    def study(
        self,
        plan: Plan,
        lighting: Lighting | None = None,
        *,
        thorough: bool = False,
        progress: Progress | None = None,
        cancelled: Call = None,
    ) -> Study:
        """Return a plan's study.

        Parameters
        ----------
        lighting
            The full light of this plan, if it is at hand.
        thorough
            Solve the room with each worker in full (a second or two a bench).

        Raises
        ------
        Cancelled
            If ``cancelled()`` became true meanwhile.
        """
        key = _key(plan, thorough)
        kept = self._studies.get(key)
        if kept is None:
            if lighting is None or not lighting.is_full:
                lighting = self._engine.solve(plan, cancelled=cancelled)
            kept = self._make(plan, lighting, thorough, progress, cancelled)
        _put(self._studies, key, kept, KEPT_STUDIES)
        return kept.of(plan)

    def _make(
        self, plan: Plan, lighting: Lighting, thorough: bool, progress: Progress | None, cancelled: Call
    ) -> Study:
        people, sources, room = stands(plan), sources_of(plan), self._engine.ready_room(plan, Watch(None, cancelled))
        clear = room.blockers
        found = Survey(plan, people, room.enclosure, clear).ask(self._engine, sources, cancelled)
        shadows = []
        for number, stand in enumerate(people):
            if cancelled is not None and cancelled():
                raise Cancelled
            if progress is not None:
                progress(number / len(people), f"the worker at {stand.item.name}")
            shadow = self._shadow(plan, stand, lighting, clear, thorough, cancelled)
            if len(shadow.points):
                shadows.append(shadow)
        return Study(
            plan,
            lighting,
            sources,
            tuple(shadows),
            found.faces,
            found.racks,
            found.views,
            found.ceiling,
            found.walls,
            found.cameras,
        )

    def _shadow(
        self, plan: Plan, stand: Stand, lighting: Lighting, clear: Blockers, thorough: bool, cancelled: Call
    ) -> BodyShadow:
        item = stand.item
        key = (room_key(plan), sources_of(plan), plan.worker, item.id, item.kind, item.worker_side, thorough)
        kept = self._shadows.get(key)
        if kept is None:
            kept = self._cast(plan, stand, lighting, clear, thorough, cancelled)
            self.shadows_made += 1
        _put(self._shadows, key, kept, KEPT_SHADOWS)
        return replace(kept, stand=stand)

    def _cast(
        self, plan: Plan, stand: Stand, lighting: Lighting, clear: Blockers, thorough: bool, cancelled: Call
    ) -> BodyShadow:
        item, at_work = stand.item, at_work_height(plan, stand.item)
        is_cut = at_work is not plan
        if is_cut:
            clear = blockers_of(enclose(at_work).triangles)
        before = next((bench.responses for bench in lighting.benches if bench.bench == item.id), None)
        if thorough:
            return cast_in_full(at_work, stand, before, None if is_cut else self._engine, clear, cancelled)
        bare = self._coarse.solve(tops_only(at_work, item.id), quick=True, cancelled=cancelled)
        engine = self._bench_engines.get(item.id) or LightEngine(step=COARSE_STEP)
        _put(self._bench_engines, item.id, engine, KEPT_ENGINES)
        return cast(at_work, stand, bare, before, engine, clear, cancelled)


def _key(plan: Plan, thorough: bool) -> Hashable:
    """Return what of a plan its study depends on."""
    marks = tuple((item.id, item.kind, item.worker_side) for item in plan.furniture)
    places = (plan.checking.views, plan.checking.cameras)
    return room_key(plan), sources_of(plan), plan.worker, marks, places, thorough


def _put(store: OrderedDict[_Key, _Value], key: _Key, value: _Value, most: int) -> None:
    store[key] = value
    store.move_to_end(key)
    while len(store) > most:
        store.popitem(last=False)
