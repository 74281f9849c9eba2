"""Small rooms and sources for the checks of the light."""

from __future__ import annotations

import math
from dataclasses import replace
from importlib import resources
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from core.light.direct import FINE, direct
from core.light.engine import LightEngine
from core.light.sources import Source
from core.light.visibility import Blockers, blockers_of
from core.photometry.distribution import Distribution, Opal
from core.plan import Finish, Fixture, Furniture, Model, Plan, Point, PowerSetting, Room
from core.plan.file import plan_from_text

__all__ = [
    "DOWN",
    "NOTHING",
    "UP",
    "all_on",
    "box",
    "bulb",
    "demo_plans",
    "hang",
    "lux_at",
    "opal",
    "rectangle",
    "room_of",
    "sheet",
    "strip",
    "turned",
]

UP = np.array([0.0, 0.0, 1.0])
DOWN = -UP
FAR_AWAY = np.array([[[900.0, 900.0, 900.0], [901.0, 900.0, 900.0], [900.0, 901.0, 900.0]]])
NOTHING: Blockers = blockers_of(FAR_AWAY)
"""Empty space: one triangle where no ray of a test comes by."""


def rectangle(length: float, width: float) -> tuple[Point, ...]:
    """Return the outline of a rectangular room, its lower left corner at the origin."""
    return ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))


def room_of(
    outline: tuple[Point, ...],
    height: float,
    ceiling: float,
    walls: float,
    floor: float,
    furniture: tuple[Furniture, ...] = (),
    **parts: Any,
) -> Plan:
    """Return a room without fixtures; the three figures are reflectances, ``parts`` go to `Room`."""
    room = Room(outline, height, Finish("c", ceiling), Finish("w", walls), Finish("f", floor), **parts)
    return Plan(name="check", room=room, furniture=furniture)


def box(
    identity: str, x: float, y: float, width: float, depth: float, bottom: float, top: float, rho: float, **parts: Any
) -> Furniture:
    """Return a box by its centre and size [m]; a machine unless ``kind`` says otherwise."""
    parts.setdefault("kind", "machine")
    return Furniture(
        id=identity, name=identity, x=x, y=y, width=width, depth=depth, bottom=bottom, top=top, reflectance=rho, **parts
    )


def hang(plan: Plan, *lamps: tuple[Model, float, float, float, float]) -> Plan:
    """Hang lamps: (model, x, y, height of the opening, rotation in degrees)."""
    models = {model.id: model for model, *_ in lamps}
    fixtures = tuple(
        Fixture(id=f"f{number}", model=model.id, x=x, y=y, height=height, rotation_deg=turn)
        for number, (model, x, y, height, turn) in enumerate(lamps)
    )
    return replace(plan, models=plan.models + tuple(models.values()), fixtures=plan.fixtures + fixtures)


def strip(length: float, width: float, lumens: float, **parts: Any) -> Model:
    """Return a model with a rectangular opening; ``parts`` go to `Model`."""
    parts.setdefault("id", f"strip {length} {width} {lumens} {sorted(parts.items(), key=str)}")
    parts.setdefault("opening", "rectangle")
    return Model(
        name="strip",
        kind="strip",
        length=max(length, 0.01),
        width=max(width, 0.01),
        body_height=parts.pop("body_height", 0.05),
        opening_length=length,
        opening_width=width,
        settings=(PowerSetting(1.0, lumens),),
        colours=(4000,),
        **parts,
    )


def bulb(lumens: float) -> Model:
    """Return a point that shines alike in all directions."""
    return strip(0.0, 0.0, lumens, opening="point", beam="all round")


def opal(
    x: float,
    y: float,
    z: float,
    length: float,
    width: float,
    lumens: float,
    turn_deg: float = 0.0,
    distribution: Distribution | None = None,
) -> Source:
    """Return a rectangular source; diffuse unless a distribution is given."""
    spread = Opal() if distribution is None else distribution
    return Source((x, y, z), length / 2, width / 2, math.radians(turn_deg), False, lumens, spread)


def lux_at(
    source: Source,
    points: npt.ArrayLike,
    normals: npt.ArrayLike = (0.0, 0.0, 1.0),
    blockers: Blockers = NOTHING,
) -> np.ndarray:
    """Return the direct illuminance at points, all with one normal or each with its own."""
    at = np.asarray(points, float).reshape(-1, 3)
    facing = np.broadcast_to(np.asarray(normals, float), at.shape)
    return np.asarray(direct(at, facing, source, blockers, FINE))


def sheet(x0: float, y0: float, x1: float, y1: float, z: float) -> Blockers:
    """Return an opaque horizontal sheet in empty space."""
    corners = np.array([(x, y, z) for x, y in shapely.get_coordinates(shapely.box(x0, y0, x1, y1))[:4]])
    return blockers_of(np.array([corners[[0, 1, 2]], corners[[0, 2, 3]]]))


def all_on(plan: Plan, points: npt.ArrayLike, normals: npt.ArrayLike = (0.0, 0.0, 1.0)) -> np.ndarray:
    """Return the total illuminance at points of a plan, everything on, at the program's default quality."""
    at = np.asarray(points, float).reshape(-1, 3)
    facing = np.broadcast_to(np.asarray(normals, float), at.shape)
    return np.asarray(LightEngine().receive(plan, at, facing).sum(axis=1))


def turned(plan: Plan, degrees: float, dx: float = 0.0, dy: float = 0.0) -> Plan:
    """Return the whole plan turned about the origin and then shifted."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def place(x: float, y: float) -> Point:
        return c * x - s * y + dx, s * x + c * y + dy

    def moved(thing: Any) -> Any:
        x, y = place(thing.x, thing.y)
        return replace(thing, x=x, y=y, rotation_deg=thing.rotation_deg + degrees)

    room = replace(plan.room, outline=tuple(place(*corner) for corner in plan.room.outline))
    return replace(
        plan,
        room=room,
        furniture=tuple(moved(item) for item in plan.furniture),
        fixtures=tuple(moved(item) for item in plan.fixtures),
    )


def demo_plans() -> list[Plan]:
    """Return the demo shops."""
    files = sorted(item.name for item in resources.files("demo_rooms").iterdir() if item.name.endswith(".json"))
    return [plan_from_text((resources.files("demo_rooms") / name).read_text(encoding="utf-8")) for name in files]
