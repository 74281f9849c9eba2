"""A small stand-in for the light engine: cosine point sources over an open floor, no walls, no shadows.

Illuminance on a horizontal plane at a distance d from a Lambertian point source of flux F that hangs h
above it is E = F / pi * h^2 / d^4 (inverse-square and cosine laws). It serves to drive the window's parts
in tests.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import shapely

from core.light.field import BenchLight, Lighting
from core.light.grid import Grid
from core.light.keys import room_key
from core.light.sources import sources_of
from core.plan import (
    Combination,
    Finish,
    Fixture,
    Furniture,
    Group,
    Level,
    Model,
    Plan,
    PowerSetting,
    Room,
    Targets,
    box_corners,
)

FOOT = 0.3048


class StandInEngine:
    """Answers like the real engine; every solve takes ``slow`` seconds and can be cancelled."""

    def __init__(self, slow: float = 0.0) -> None:
        self.slow = slow
        self.solved: list[tuple[Plan, bool]] = []
        self.followed = 0
        self.finely: list[bool] = []
        self.ready: list[Plan] = []
        self.failure: Exception | None = None

    def solve(
        self,
        plan: Plan,
        *,
        quick: bool = False,
        progress: Callable[[float, str], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Lighting:
        end = time.monotonic() + self.slow * (0.3 if quick else 1.0)
        while time.monotonic() < end:
            if cancelled is not None and cancelled():
                raise StandInCancelled
            if progress is not None:
                progress(0.5, "walls")
            time.sleep(0.002)
        if self.failure is not None:
            raise self.failure
        self.solved.append((plan, quick))
        return lighting_of(plan, is_full=not quick)

    def make_ready_to_drag(self, plan: Plan, *, cancelled: Callable[[], bool] | None = None) -> None:
        end = time.monotonic() + self.slow
        while time.monotonic() < end:
            if cancelled is not None and cancelled():
                raise StandInCancelled
            time.sleep(0.002)
        self.ready.append(plan)

    def follow(self, base: Lighting, plan: Plan, *, finely: bool = False) -> Lighting | None:
        self.followed += 1
        self.finely.append(finely)
        is_ready = any(room_key(ready) == base.room_key for ready in self.ready)
        return lighting_of(plan, is_full=False) if is_ready and room_key(plan) == base.room_key else None


class StandInCancelled(Exception):
    """The stand-in's word for a solve that was called off."""


def lighting_of(plan: Plan, is_full: bool = True, step: float = FOOT / 2) -> Lighting:
    outline = shapely.Polygon(plan.room.outline)
    grid = Grid.over(*outline.bounds, step)
    points = grid.points()
    inside = shapely.contains_xy(outline, points[:, 0], points[:, 1])
    for item in plan.furniture:
        if item.top > plan.work_plane:
            corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
            inside &= ~shapely.contains_xy(shapely.Polygon(corners), points[:, 0], points[:, 1])
    at = np.column_stack([points[inside], np.full(inside.sum(), plan.work_plane)])
    responses = _columns(plan, at)
    counted = inside & shapely.contains_xy(outline.buffer(-plan.targets.wall_band), points[:, 0], points[:, 1])
    return Lighting(
        grid,
        inside.reshape(grid.shape),
        counted.reshape(grid.shape),
        responses,
        tuple(_bench(plan, item) for item in plan.benches()),
        tuple(fixture.group for fixture in plan.fixtures),
        1.0,
        np.ones(1),
        is_full,
        sources_of(plan),
        room_key(plan),
    )


def _columns(plan: Plan, points: np.ndarray) -> np.ndarray:
    columns = np.zeros((len(points), len(plan.fixtures)), dtype=np.float32)
    for i, fixture in enumerate(plan.fixtures):
        h = plan.opening_height(fixture) - points[:, 2]
        d2 = (points[:, 0] - fixture.x) ** 2 + (points[:, 1] - fixture.y) ** 2 + h**2
        columns[:, i] = plan.setting(fixture).lumens / math.pi * h**2 / d2**2
    return columns


def _bench(plan: Plan, item: Furniture) -> BenchLight:
    grid = Grid.over(
        -item.width / 2 + 0.0508,
        -item.depth / 2 + 0.0508,
        item.width / 2 - 0.0508,
        item.depth / 2 - 0.0508,
        0.1,
    )
    local = grid.points()
    c, s = math.cos(math.radians(item.rotation_deg)), math.sin(math.radians(item.rotation_deg))
    xy = local @ np.array([[c, s], [-s, c]]) + (item.x, item.y)
    points = np.column_stack([xy, np.full(len(xy), item.top)])
    return BenchLight(item.id, grid, np.ones(grid.shape, dtype=bool), points, _columns(plan, points))


STRIP = Model(
    "strip-4",
    "4 ft strip",
    "strip",
    4 * FOOT,
    0.08,
    0.06,
    "rectangle",
    4 * FOOT,
    0.07,
    (PowerSetting(35.0, 4400.0), PowerSetting(20.0, 2500.0)),
    (4000,),
)


def shop() -> Plan:
    """Return an invented L-shaped basement with two benches (one askew), a tall rack and five strips."""
    f = FOOT
    outline = (
        (0.0, 0.0),
        (20 * f, 0.0),
        (20 * f, 8.5 * f),
        (13.5 * f, 8.5 * f),
        (13.5 * f, 14 * f),
        (0.0, 14 * f),
    )
    room = Room(outline, 7.5 * f, Finish("white", 0.8), Finish("white", 0.7), Finish("concrete", 0.3))
    furniture = (
        Furniture(
            "carving",
            "bench",
            "Carving bench",
            5.5 * f,
            12.6 * f,
            9 * f,
            2.2 * f,
            36 * 0.0254,
            0.8,
            worker_side="front",
        ),
        Furniture(
            "setup",
            "bench",
            "Setup bench",
            16.5 * f,
            2.4 * f,
            4.5 * f,
            2 * f,
            40 * 0.0254,
            0.9,
            20.0,
            target_lux=1600.0,
        ),
        Furniture("rack", "cabinet", "Wood rack", 1.2 * f, 4.0 * f, 1.8 * f, 5 * f, 78 * 0.0254),
        Furniture("saw", "machine", "Bandsaw", 10 * f, 5.5 * f, 2.4 * f, 2.2 * f, 70 * 0.0254),
    )
    fixtures = (
        Fixture("f1", "strip-4", 4 * f, 11.6 * f, group="A"),
        Fixture("f2", "strip-4", 8 * f, 11.6 * f, group="A"),
        Fixture("f3", "strip-4", 4.6 * f, 7.2 * f, group="B"),
        Fixture("f4", "strip-4", 10.2 * f, 7.2 * f, group="B"),
        Fixture("f5", "strip-4", 16.8 * f, 5.0 * f, rotation_deg=90.0, group="B"),
    )
    return Plan(
        "Invented basement",
        room,
        furniture,
        (STRIP,),
        fixtures,
        (Group("A", "Benches"), Group("B", "Middle", True)),
        (Combination("Carving", (Level("A", 1.0),)),),
        targets=Targets(lux=50 * 10.763910416709722),
        invented=True,
    )


def barn() -> Plan:
    """Return an invented 30 x 40 ft barn with 60 x 80 grid points and 24 strips, for sizes and timings."""
    f = FOOT
    base = shop()
    outline = ((0.0, 0.0), (40 * f, 0.0), (40 * f, 30 * f), (0.0, 30 * f))
    fixtures = tuple(
        Fixture(f"f{i}{j}", "strip-4", (3.5 + 6.6 * i) * f, (4 + 7.3 * j) * f, group="AB"[j % 2])
        for i in range(6)
        for j in range(4)
    )
    room = replace(base.room, outline=outline, height=14 * f)
    return replace(base, name="Invented barn", room=room, fixtures=fixtures)
