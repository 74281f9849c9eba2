"""Everything about a plan that the checks need and that no switch changes: worked out once, read at any setting.

Light at the eyes, faces, racks, ceiling and walls comes from one call of the engine; shadows bench by bench. All of it
is kept by value (`Checker`), so a renamed fixture or a turned switch works out nothing.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace

import numpy as np

from core.checks.body_shadow import COARSE_STEP, BodyShadow, cast, cast_in_full, direct_light, has_top, tops_only
from core.checks.camera import CameraLight, background_of, in_frame, subject_receivers
from core.checks.contrast import Faces, surface_points
from core.checks.faces import FaceLight, face_receivers
from core.checks.glare import GlareTerms, glare_terms
from core.checks.standing import Stand, stand_at, stands
from core.light.direct import direct
from core.light.enclosure import Enclosure, enclose
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.grid import FloatArray
from core.light.keys import room_key
from core.light.roomlight import Cancelled
from core.light.sources import Source, sources_of
from core.light.visibility import Blockers, blockers_of
from core.plan import Furniture, Plan, Worker
from core.plan.checking import ViewPlace

__all__ = ["Checker", "Rack", "Study", "View"]

RACK_HEIGHT = 1.4
KEPT = 24
Watch = Callable[[float, str], None]


@dataclass(frozen=True)
class View:
    """An eye, what it is called, and its glare."""

    name: str
    place: FloatArray
    direction_deg: float
    about: tuple[str, ...]
    glare: GlareTerms


@dataclass(frozen=True)
class Rack:
    """The front of a tall cabinet or machine: vertical light on its middle (fixtures,) [lx]."""

    item: Furniture
    place: FloatArray
    vertical: FloatArray


@dataclass(frozen=True)
class Study:
    """A plan's checks before any switch is turned; arrays have one column a fixture."""

    plan: Plan
    lighting: Lighting
    sources: tuple[Source, ...]
    shadows: tuple[BodyShadow, ...]
    hands: tuple[tuple[Stand, FloatArray, FloatArray], ...]
    faces: tuple[tuple[Stand, FaceLight], ...]
    racks: tuple[Rack, ...]
    views: tuple[View, ...]
    ceiling: Faces
    walls: Faces
    cameras: tuple[CameraLight, ...]


class Checker:
    """Makes studies, and keeps what it worked out by value."""

    def __init__(self, engine: LightEngine) -> None:
        self._engine = engine
        self._coarse = LightEngine(step=COARSE_STEP)
        self._bench_engines: OrderedDict[str, LightEngine] = OrderedDict()
        self._shadows: OrderedDict[Hashable, BodyShadow] = OrderedDict()
        self._last: OrderedDict[Hashable, Study] = OrderedDict()
        self.shadows_made = 0

    def study(
        self,
        plan: Plan,
        lighting: Lighting | None = None,
        *,
        thorough: bool = False,
        progress: Watch | None = None,
        cancelled: Callable[[], bool] | None = None,
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
        key = (room_key(plan), sources_of(plan), plan.worker, _marks(plan), plan.checking, thorough)
        kept = self._last.get(key)
        if kept is not None:
            return replace(kept, plan=plan, lighting=_fresh_groups(kept.lighting, plan))
        if lighting is None or not lighting.is_full:
            lighting = self._engine.solve(plan, cancelled=cancelled)
        made = self._make(plan, lighting, thorough, progress, cancelled)
        _put(self._last, key, made, 3)
        return made

    def _make(
        self,
        plan: Plan,
        lighting: Lighting,
        thorough: bool,
        progress: Watch | None,
        cancelled: Callable[[], bool] | None,
    ) -> Study:
        people = stands(plan)
        sources = sources_of(plan)
        enclosure = enclose(plan)
        clear = blockers_of(enclosure.triangles)
        survey = _Survey(plan, people, enclosure, clear)
        answers = survey.ask(self._engine, cancelled)
        shadows = []
        cast_by = [stand for stand in people if has_top(stand.item)]
        for number, stand in enumerate(cast_by):
            if cancelled is not None and cancelled():
                raise Cancelled
            if progress is not None:
                progress(number / len(cast_by), f"the worker at {stand.item.name}")
            shadows.append(self._shadow(plan, stand, lighting, clear, thorough, cancelled))
        return Study(
            plan,
            lighting,
            sources,
            tuple(shadows),
            tuple(
                (stand, direct_light((stand.hands + _LIFT)[None], sources, clear)[0], answers.hands[number])
                for number, stand in enumerate(people)
            ),
            *survey.read(answers, sources),
        )

    def _shadow(
        self,
        plan: Plan,
        stand: Stand,
        lighting: Lighting,
        clear: Blockers,
        thorough: bool,
        cancelled: Callable[[], bool] | None,
    ) -> BodyShadow:
        item = stand.item
        key = (room_key(plan), sources_of(plan), plan.worker, item.id, item.worker_side, thorough)
        kept = self._shadows.get(key)
        if kept is None:
            before = next((bench.responses for bench in lighting.benches if bench.bench == item.id), None)
            if thorough:
                kept = cast_in_full(plan, stand, before, self._engine, clear, cancelled)
            else:
                bare = self._coarse.solve(tops_only(plan), quick=True, cancelled=cancelled)
                engine = self._bench_engines.get(item.id) or LightEngine(step=COARSE_STEP)
                _put(self._bench_engines, item.id, engine, 12)
                kept = cast(plan, stand, bare, before, engine, clear, cancelled)
            self.shadows_made += 1
        _put(self._shadows, key, kept, KEPT)
        return replace(kept, stand=stand)


@dataclass(frozen=True)
class _Answers:
    hands: FloatArray
    faces: FloatArray
    racks: FloatArray
    eyes: FloatArray
    ceiling: FloatArray
    walls: FloatArray
    cameras: FloatArray


class _Survey:
    """Collects all places where the engine is asked for light, asks once, and sorts the answers."""

    def __init__(self, plan: Plan, people: list[Stand], enclosure: Enclosure, clear: Blockers) -> None:
        self._plan, self._people, self._clear = plan, people, clear
        self._shown = [person for person in people if not enclosure.covers(person.eye[None])[0]]
        self._rack_items = [item for item in plan.furniture if item.kind == "cabinet" and item.top > 1.2]
        self._rack_spots = [_front(item) for item in self._rack_items]
        self._eyes = [_person_view(person, turned) for person in self._shown for turned in (False, True)]
        self._eyes += [_own_view(view) for view in plan.checking.views]
        self._ceiling = surface_points(enclosure, "ceiling")
        self._walls = surface_points(enclosure, "wall")
        self._backs = [background_of(camera, enclosure, clear) for camera in plan.checking.cameras]

    def _parts(self) -> list[tuple[FloatArray, FloatArray]]:
        none = (np.zeros((0, 3)), np.zeros((0, 3)))

        def joined(pairs: list[tuple[FloatArray, FloatArray]]) -> tuple[FloatArray, FloatArray]:
            return (np.concatenate([p for p, _ in pairs]), np.concatenate([n for _, n in pairs])) if pairs else none

        up = np.array([[0.0, 0.0, 1.0]])
        cameras = [
            (np.vstack([at, back[0]]), np.vstack([normal, back[1]]))
            for (at, normal), back in zip(map(subject_receivers, self._plan.checking.cameras), self._backs, strict=True)
        ]
        return [
            joined([((person.hands + _LIFT)[None], up) for person in self._people]),
            joined([face_receivers(person.eye, person.facing_deg) for person in self._shown]),
            joined([(place[None], normal[None]) for place, normal in self._rack_spots]),
            joined([(place[None], _level(direction)[None]) for _, place, direction, _ in self._eyes]),
            self._ceiling[:2],
            self._walls[:2],
            joined(cameras),
        ]

    def ask(self, engine: LightEngine, cancelled: Callable[[], bool] | None) -> _Answers:
        """Ask the engine for the light at all places at once."""
        parts = self._parts()
        points, normals = (np.concatenate([part[k] for part in parts]) for k in (0, 1))
        lux = engine.receive(self._plan, points, normals, cancelled=cancelled)
        edges = np.cumsum([len(part[0]) for part in parts])[:-1]
        return _Answers(*np.split(lux, edges))

    def read(
        self, answers: _Answers, sources: tuple[Source, ...]
    ) -> tuple[
        tuple[tuple[Stand, FaceLight], ...], tuple[Rack, ...], tuple[View, ...], Faces, Faces, tuple[CameraLight, ...]
    ]:
        """Sort the answers into what a `Study` holds, from ``faces`` on."""
        each = len(answers.faces) // max(1, len(self._shown))
        faces = tuple(
            (person, FaceLight(answers.faces[k * each : (k + 1) * each - 1], answers.faces[(k + 1) * each - 1]))
            for k, person in enumerate(self._shown)
        )
        racks = tuple(
            Rack(item, place, answers.racks[k])
            for k, (item, (place, _)) in enumerate(zip(self._rack_items, self._rack_spots, strict=True))
        )
        views = tuple(self._view(k, answers.eyes[k], sources) for k in range(len(self._eyes)))
        cameras = tuple(
            CameraLight(
                camera,
                answers.cameras[3 * k],
                answers.cameras[3 * k + 1],
                answers.cameras[3 * k + 2],
                self._backs[k][2],
                in_frame(camera, sources, self._clear),
            )
            for k, camera in enumerate(self._plan.checking.cameras)
        )
        return (
            faces,
            racks,
            views,
            _average(answers.ceiling, self._ceiling),
            _average(answers.walls, self._walls),
            cameras,
        )

    def _view(self, number: int, total: FloatArray, sources: tuple[Source, ...]) -> View:
        name, place, direction, about = self._eyes[number]
        normal = _level(direction)[None]
        straight = np.array([direct(place[None], normal, source, self._clear)[0] for source in sources])
        indirect = np.maximum(total - straight, 0.0)
        return View(name, place, direction, about, glare_terms(place, direction, sources, self._clear, indirect))


_LIFT = np.array([0.0, 0.0, 1e-3])
_NOBODY = Worker()


def _marks(plan: Plan) -> Hashable:
    return tuple((item.id, item.kind, item.worker_side) for item in plan.furniture)


def _fresh_groups(lighting: Lighting, plan: Plan) -> Lighting:
    groups = tuple(fixture.group for fixture in plan.fixtures)
    return lighting if lighting.groups == groups else replace(lighting, groups=groups)


def _average(lux: FloatArray, places: tuple[FloatArray, FloatArray, FloatArray, FloatArray]) -> Faces:
    _, _, weights, reflectance = places
    return Faces(weights @ lux, (weights * reflectance) @ lux)


def _level(direction_deg: float) -> FloatArray:
    angle = np.radians(direction_deg)
    return np.array([np.cos(angle), np.sin(angle), 0.0])


def _person_view(person: Stand, turned: bool) -> tuple[str, FloatArray, float, tuple[str, ...]]:
    name = person.item.name or person.item.id
    if not turned:
        return name, person.eye, person.facing_deg, (person.item.id,)
    return f"{name}, turned round", person.eye, (person.facing_deg + 180.0) % 360.0, (person.item.id,)


def _own_view(view: ViewPlace) -> tuple[str, FloatArray, float, tuple[str, ...]]:
    return view.name or view.id, np.array([view.x, view.y, view.height]), view.direction_deg, ()


def _front(item: Furniture) -> tuple[FloatArray, FloatArray]:
    """Return the middle of a piece's front (3,), a hair off it, and the front's normal (3,)."""
    facing = stand_at(replace(item, worker_side="front"), _NOBODY)
    assert facing is not None
    normal = -np.array([*facing.ahead, 0.0])
    middle = np.array([item.x, item.y, min(max(RACK_HEIGHT, item.bottom + 0.05), item.top - 0.05)])
    return middle + normal * (item.depth / 2 + 2e-3), normal


def _put(store: OrderedDict[Hashable, object] | OrderedDict, key: Hashable, value: object, most: int) -> None:  # type: ignore[type-arg]
    store[key] = value
    store.move_to_end(key)
    while len(store) > most:
        store.popitem(last=False)
