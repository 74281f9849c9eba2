"""All places where the checks ask for light besides benches: eyes, faces, racks, ceiling, walls and cameras.

They are collected, asked for in one call of the engine, and the answers are sorted.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from core.checks.camera import CameraLight, background_of, in_frame, subject_receivers
from core.checks.contrast import Faces, surface_points
from core.checks.faces import DIRECTIONS, FaceLight, face_receivers
from core.checks.glare import glare_terms
from core.checks.standing import Stand, stand_at
from core.checks.study import Rack, View, person_view_name
from core.light.direct import direct
from core.light.enclosure import Enclosure
from core.light.engine import LightEngine
from core.light.grid import FloatArray
from core.light.sources import Source
from core.light.visibility import Blockers
from core.plan import Furniture, Plan, Worker
from core.plan.checking import ViewPlace

__all__ = ["Answers", "Survey"]

RACK_HEIGHT = 1.4
TALL_CABINET = 1.2
BEFORE_RACK = 0.05
"""Light at a rack is read this far before its front [m]."""
_EACH_FACE = DIRECTIONS + 1
_NOBODY = Worker()
_Receivers = tuple[FloatArray, FloatArray]


@dataclass(frozen=True)
class Answers:
    """The light at all places of a survey, sorted."""

    faces: tuple[tuple[Stand, FaceLight], ...]
    racks: tuple[Rack, ...]
    views: tuple[View, ...]
    ceiling: Faces
    walls: Faces
    cameras: tuple[CameraLight, ...]


@dataclass(frozen=True)
class _Eye:
    name: str
    place: FloatArray
    direction_deg: float
    stand: Stand | None = None
    is_turned: bool = False


class Survey:
    """Where a plan's light is asked for; ``clear`` are the ray queries of its room."""

    def __init__(self, plan: Plan, people: list[Stand], enclosure: Enclosure, clear: Blockers) -> None:
        self._plan, self._clear = plan, clear
        self._people = [person for person in people if not enclosure.covers(person.eye[None])[0]]
        racks = [item for item in plan.furniture if item.kind == "cabinet" and item.top > TALL_CABINET]
        self._racks = [(item, *_front(item)) for item in racks]
        self._eyes = [_eye_of(person, is_turned) for person in self._people for is_turned in (False, True)]
        self._eyes += [_placed(view) for view in plan.checking.views]
        self._ceiling = surface_points(enclosure, "ceiling")
        self._walls = surface_points(enclosure, "wall")
        self._backs = [background_of(camera, enclosure, clear) for camera in plan.checking.cameras]

    def ask(self, engine: LightEngine, sources: tuple[Source, ...], cancelled: Callable[[], bool] | None) -> Answers:
        """Ask the engine for the light at all places at once, fixture by fixture."""
        parts = self._receivers()
        points, normals = (np.concatenate([part[k] for part in parts]) for k in (0, 1))
        lux = engine.receive(self._plan, points, normals, cancelled=cancelled, closely=False)
        edges = np.cumsum([len(part[0]) for part in parts])[:-1]
        faces, racks, eyes, ceiling, walls, cameras = np.split(lux, edges)
        return Answers(
            tuple((person, _face(faces, k)) for k, person in enumerate(self._people)),
            tuple(Rack(item, place, _face(racks, k)) for k, (item, place, _) in enumerate(self._racks)),
            tuple(self._view(eye, total, sources) for eye, total in zip(self._eyes, eyes, strict=True)),
            _average(ceiling, self._ceiling),
            _average(walls, self._walls),
            tuple(self._camera(k, cameras[3 * k : 3 * k + 3], sources) for k in range(len(self._backs))),
        )

    def _receivers(self) -> list[_Receivers]:
        cameras = [
            (np.vstack([at, back[0]]), np.vstack([normal, back[1]]))
            for (at, normal), back in zip(map(subject_receivers, self._plan.checking.cameras), self._backs, strict=True)
        ]
        return [
            _joined([face_receivers(person.eye, person.facing_deg) for person in self._people]),
            _joined([face_receivers(place, facing) for _, place, facing in self._racks]),
            _joined([(eye.place[None], _level(eye.direction_deg)[None]) for eye in self._eyes]),
            self._ceiling[:2],
            self._walls[:2],
            _joined(cameras),
        ]

    def _view(self, eye: _Eye, total: FloatArray, sources: tuple[Source, ...]) -> View:
        normal = _level(eye.direction_deg)[None]
        straight = np.array([direct(eye.place[None], normal, source, self._clear)[0] for source in sources])
        indirect = np.maximum(total - straight, 0.0)
        glare = glare_terms(eye.place, eye.direction_deg, sources, self._clear, indirect)
        return View(eye.name, eye.place, eye.direction_deg, glare, eye.stand, eye.is_turned)

    def _camera(self, number: int, lux: FloatArray, sources: tuple[Source, ...]) -> CameraLight:
        camera = self._plan.checking.cameras[number]
        face, hands, background = lux
        reflectance = self._backs[number][2]
        return CameraLight(camera, face, hands, background, reflectance, in_frame(camera, sources, self._clear))


def _face(lux: FloatArray, number: int) -> FaceLight:
    own = lux[number * _EACH_FACE : (number + 1) * _EACH_FACE]
    return FaceLight(own[:-1], own[-1])


def _joined(pairs: list[_Receivers]) -> _Receivers:
    if not pairs:
        return np.zeros((0, 3)), np.zeros((0, 3))
    return np.concatenate([points for points, _ in pairs]), np.concatenate([normals for _, normals in pairs])


def _average(lux: FloatArray, places: tuple[FloatArray, FloatArray, FloatArray, FloatArray]) -> Faces:
    _, _, weights, reflectance = places
    return Faces(weights @ lux, (weights * reflectance) @ lux)


def _level(direction_deg: float) -> FloatArray:
    angle = np.radians(direction_deg)
    return np.array([np.cos(angle), np.sin(angle), 0.0])


def _eye_of(person: Stand, is_turned: bool) -> _Eye:
    direction = (person.facing_deg + 180.0 * is_turned) % 360.0
    return _Eye(person_view_name(person, is_turned), person.eye, direction, person, is_turned)


def _placed(view: ViewPlace) -> _Eye:
    return _Eye(view.name or view.id, np.array([view.x, view.y, view.height]), view.direction_deg)


def _front(item: Furniture) -> tuple[FloatArray, float]:
    """Return the place before the middle of a piece's front (3,) and the direction away from it [degree]."""
    facing = stand_at(replace(item, worker_side="front"), _NOBODY)
    assert facing is not None
    height = min(max(RACK_HEIGHT, item.bottom + 0.05), item.top - 0.05)
    reach = item.depth / 2 + BEFORE_RACK
    x, y = item.x - facing.ahead[0] * reach, item.y - facing.ahead[1] * reach
    return np.array([x, y, height]), math.fmod(facing.facing_deg + 180.0, 360.0)
