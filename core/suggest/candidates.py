"""Candidate places: a grid over the ceiling, clear of walls, keep-outs, doors and whatever is as tall.

Bodies and the distances wanted around them are those by which conflicts are found (`core.ceiling.conflicts`), so that
a proposed layout brings none. Places are at right angles to the room's longest wall's axes as the sheet lies: along x
(0 degrees) or along y (90 degrees).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from core.ceiling.bodies import Body, door_leaf, fixture_body, furniture_body, keep_out_body, overhead_door
from core.light.grid import BoolArray, FloatArray
from core.plan import Fixture, Model, Plan
from core.suggest.hanging import candidate_fixture, is_alike_turned
from core.suggest.request import Request

__all__ = ["Ceiling", "Places", "axis_places", "cliques_of", "places_of"]

CLEAR = 0.01
"""Least gap between a body and a wall, or between two bodies [m]."""
_TOUCH = 1e-6


@dataclass(frozen=True)
class Places:
    """Candidate places of one model: centres (n, 2) [m] and rotations (n,) [degree]."""

    centres: FloatArray
    turns: FloatArray

    def __len__(self) -> int:
        return len(self.centres)


@dataclass(frozen=True)
class Ceiling:
    """Where one model can hang: the room, and what is in its way at its height."""

    plan: Plan
    model: Model
    drop: float
    setting: int
    room: Polygon
    wall_distance: float
    in_the_way: BaseGeometry

    @classmethod
    def of(cls, plan: Plan, model: Model, request: Request) -> Ceiling:
        """Look at a plan's ceiling with a model in mind."""
        with_model = _knowing(plan, model)
        sample = candidate_fixture(model, 0.0, 0.0, 0.0, request.drop, request.setting_of(model))
        body = fixture_body(with_model, sample)
        stops = [shape for shape in _obstacles(plan, body, request) if not shape.is_empty]
        union = shapely.union_all(stops) if stops else Polygon()
        shapely.prepare(union)
        room = Polygon(plan.room.outline)
        return cls(with_model, model, sample.drop, sample.setting, room, request.wall_distance, union)

    @property
    def turns(self) -> tuple[float, ...]:
        """Rotations worth trying [degree]."""
        return (0.0,) if is_alike_turned(self.model) else (0.0, 90.0)

    def half(self, turn: float) -> tuple[float, float]:
        """Return half the body's extent along x and y [m]."""
        long, wide = self.model.length / 2, self.model.width / 2
        return (long, wide) if turn == 0.0 else (wide, long)

    def span(self, turn: float) -> tuple[float, float, float, float]:
        """Return the least x, y and the largest x, y at which a centre can lie [m]."""
        x0, y0, x1, y1 = self.room.bounds
        hx, hy = (max(h + CLEAR, self.wall_distance) for h in self.half(turn))
        return x0 + hx, y0 + hy, x1 - hx, y1 - hy

    def free(self, centres: FloatArray, turns: FloatArray) -> BoolArray:
        """Tell at which places (n, 2) a body can hang, (n,)."""
        wide = np.where(turns == 0.0, self.half(0.0)[0], self.half(90.0)[0])
        deep = np.where(turns == 0.0, self.half(0.0)[1], self.half(90.0)[1])
        x, y = centres[:, 0], centres[:, 1]
        boxes = shapely.box(x - wide, y - deep, x + wide, y + deep)
        inner = self.room.buffer(-CLEAR + _TOUCH)
        shapely.prepare(inner)
        fit: BoolArray = shapely.covers(inner, boxes)
        core = self.room.buffer(-self.wall_distance + _TOUCH, join_style="mitre")
        fit &= shapely.intersects_xy(core, x, y)
        if not self.in_the_way.is_empty:
            fit &= ~shapely.intersects(self.in_the_way, boxes)
        return fit

    def grid(self, step: float) -> Places:
        """Return the free places of a grid of about ``step`` [m], even about the room's middle."""
        centres, turns = [], []
        for turn in self.turns:
            x0, y0, x1, y1 = self.span(turn)
            if x1 < x0 or y1 < y0:
                continue
            gx, gy = np.meshgrid(axis_places(x0, x1, step), axis_places(y0, y1, step))
            centres.append(np.column_stack([gx.ravel(), gy.ravel()]))
            turns.append(np.full(gx.size, turn))
        if not centres:
            return Places(np.zeros((0, 2)), np.zeros(0))
        every, turned = np.concatenate(centres), np.concatenate(turns)
        fit = self.free(every, turned)
        return Places(every[fit], turned[fit])

    def fixture(self, x: float, y: float, turn: float) -> Fixture:
        """Return a fixture of the model at a place, without an id."""
        return candidate_fixture(self.model, float(x), float(y), float(turn), self.drop, self.setting)

    def fixtures(self, places: Places) -> list[Fixture]:
        """Return a fixture for every place."""
        return [self.fixture(x, y, turn) for (x, y), turn in zip(places.centres, places.turns, strict=True)]


def places_of(fixtures: Sequence[Fixture]) -> Places:
    """Return the places of fixtures at right angles to the room."""
    centres = np.array([(fixture.x, fixture.y) for fixture in fixtures]).reshape(-1, 2)
    return Places(centres, np.array([fixture.rotation_deg for fixture in fixtures]))


def axis_places(low: float, high: float, step: float) -> FloatArray:
    """Return places from ``low`` to ``high``, both included, not more than ``step`` apart [m]."""
    count = max(1, math.ceil((high - low) / step - 1e-6) + 1)
    return np.linspace(low, high, count) if count > 1 else np.array([(low + high) / 2])


def cliques_of(ceiling: Ceiling, places: Places) -> list[NDArray[np.intp]]:
    """Return sets of places of which only one can be used, since their bodies would overlap.

    Axis-parallel boxes that overlap in pairs all share a point, and there is always one whose x is the left edge and
    whose y is the lower edge of one of them, so trying those points finds every set.
    """
    half = np.array([ceiling.half(turn) for turn in places.turns]).reshape(-1, 2)
    low, high = places.centres - half - CLEAR / 2, places.centres + half + CLEAR / 2
    found: dict[tuple[int, ...], None] = {}
    for i in range(len(places)):
        touching = np.flatnonzero(((low < high[i] - _TOUCH) & (high > low[i] + _TOUCH)).all(axis=1))
        edges = touching[(low[touching, 0] <= low[i, 0] + _TOUCH) & (high[touching, 0] > low[i, 0] + _TOUCH)]
        for y in np.unique(low[edges, 1]):
            here = edges[(low[edges, 1] <= y + _TOUCH) & (high[edges, 1] > y + _TOUCH)]
            if len(here) > 1:
                found[tuple(here.tolist())] = None
    members = [frozenset(clique) for clique in found]
    largest = sorted(members, key=lambda clique: (-len(clique), sorted(clique)))
    kept: list[frozenset[int]] = []
    for clique in largest:
        if not any(clique <= other for other in kept):
            kept.append(clique)
    return [np.array(sorted(clique), dtype=np.intp) for clique in kept]


def _obstacles(plan: Plan, body: Body, request: Request) -> Iterator[BaseGeometry]:
    """Yield the plan shapes that a body at its height must stay clear of, the wanted distance added."""
    clearances, room = plan.ceiling.clearances, plan.room
    for item in room.keep_outs:
        wanted = float(getattr(clearances, item.kind))
        obstacle = keep_out_body(room, item)
        below = clearances.below_sprinkler if item.kind == "sprinkler" else wanted
        flush = item.drop == 0.0 or item.kind == "hatch"
        if flush or _meet(body, obstacle, below):
            yield _grown(obstacle, wanted)
    for door in room.openings:
        if door.kind == "overhead door":
            zone = overhead_door(room, door, clearances.door_side, clearances.door_headroom)
            if request.clear_of_doors or door.is_open or _meet(body, zone, 0.0):
                yield zone.shape
        elif door.kind == "door" and _meet(body, door_leaf(room, door), clearances.door_leaf):
            yield _grown(door_leaf(room, door), clearances.door_leaf)
    for piece in plan.furniture:
        if _meet(body, furniture_body(piece), 0.0):
            yield furniture_body(piece).shape


def _meet(body: Body, other: Body, wanted: float) -> bool:
    return max(body.low - other.high, other.low - body.high) < wanted - _TOUCH or (
        body.low < other.high - _TOUCH and other.low < body.high - _TOUCH
    )


def _grown(body: Body, by: float) -> BaseGeometry:
    # A hair less than wanted: what lies exactly at the distance is clear.
    return body.shape.buffer(max(by - _TOUCH, 0.0))


def _knowing(plan: Plan, model: Model) -> Plan:
    if any(known.id == model.id for known in plan.models):
        return plan
    return replace(plan, models=(*plan.models, model))
