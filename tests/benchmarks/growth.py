"""How the cost grows: the barn with twice and four times the fixtures, grid points, patches and boxes, and a hall."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import numpy as np

import core.light.engine as engine_module
from core.light.engine import GRID_STEP, LightEngine
from core.plan import Fixture, Furniture, FurnitureKind, Plan

__all__ = ["growth", "hall"]

FOOT = 0.3048
_FRAMES = 12


def growth(barn: Plan) -> list[dict[str, object]]:
    """Return one row for the barn as it is and one for each thing made 2 and 4 times as many."""
    rows = [_row("barn", 1, barn, LightEngine())]
    for times in (2, 4):
        rows.append(_row("fixtures", times, _more_fixtures(barn, times), LightEngine()))
        with _figures(MOST_CELLS=100_000):
            rows.append(_row("grid points", times, barn, LightEngine(GRID_STEP / math.sqrt(times))))
        full, quick = engine_module.FULL, engine_module.QUICK
        finer = {
            "FULL": replace(full, patches=full.patches * times, smallest=full.smallest / math.sqrt(times)),
            "QUICK": replace(quick, patches=quick.patches * times, smallest=quick.smallest / math.sqrt(times)),
        }
        with _figures(**finer):
            rows.append(_row("patches", times, barn, LightEngine()))
        rows.append(_row("boxes", times, _more_boxes(barn, times), LightEngine()))
    return rows


def hall(like: Plan, fixtures: int = 80, boxes: int = 200) -> Plan:
    """Return an invented hall of 60 x 100 ft with rows of high bays and many small machines and benches."""
    wide, deep = 100 * FOOT, 60 * FOOT
    outline = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    room = replace(like.room, outline=outline, height=5.0, wall_finishes=(), openings=(), keep_outs=(), joists=())
    model = next(m for m in like.models if m.kind == "high bay")
    across, along = 8, math.ceil(fixtures / 8)
    hung = tuple(
        Fixture(f"h{i}", model.id, (i // across + 0.5) * wide / along, (i % across + 0.5) * deep / across, group="A")
        for i in range(fixtures)
    )
    base = replace(like, name="Invented hall", room=room, furniture=(), fixtures=hung, groups=like.groups[:1])
    return _with_boxes(base, boxes)


def _row(what: str, times: int, plan: Plan, engine: LightEngine) -> dict[str, object]:
    start = time.perf_counter()
    engine.solve(plan, quick=True)
    first = time.perf_counter()
    lighting = engine.solve(plan)
    full = time.perf_counter()
    engine.make_ready_to_drag(plan)
    ready = time.perf_counter()
    drag = []
    for i in range(_FRAMES):
        moved = replace(plan.fixtures[0], x=plan.fixtures[0].x + 0.05 * (i + 1))
        begun = time.perf_counter()
        engine.follow(lighting, replace(plan, fixtures=(moved, *plan.fixtures[1:])))
        drag.append(time.perf_counter() - begun)
    levels = dict.fromkeys(lighting.groups, 1.0)
    begun = time.perf_counter()
    for _ in range(50):
        lighting.field(levels)
    toggle = (time.perf_counter() - begun) / 50
    return {
        "what": what,
        "times": times,
        "fixtures": len(plan.fixtures),
        "boxes": len(plan.furniture),
        "points": int(lighting.inside.sum()) + sum(len(bench.points) for bench in lighting.benches),
        "patches": len(lighting.row_sums),
        "first_ms": _ms(first - start),
        "full_ms": _ms(full - first),
        "ready_ms": _ms(ready - full),
        "drag_ms": _ms(float(np.median(drag[1:]))),
        "toggle_ms": round(toggle * 1000.0, 4),
    }


def _ms(seconds: float) -> float:
    return round(seconds * 1000.0, 2)


@contextmanager
def _figures(**figures: object) -> Iterator[None]:
    """Let the engine work with other figures for a while."""
    before = {name: getattr(engine_module, name) for name in figures}
    try:
        for name, value in figures.items():
            setattr(engine_module, name, value)
        yield
    finally:
        for name, value in before.items():
            setattr(engine_module, name, value)


def _more_fixtures(plan: Plan, times: int) -> Plan:
    more = [
        replace(fixture, id=f"{fixture.id}-{k}", x=fixture.x + 0.11 * k, y=fixture.y + 0.07 * k)
        for k in range(times)
        for fixture in plan.fixtures
    ]
    return replace(plan, fixtures=tuple(more))


def _more_boxes(plan: Plan, times: int) -> Plan:
    return _with_boxes(plan, times * len(plan.furniture))


def _with_boxes(plan: Plan, count: int) -> Plan:
    """Add small machines, benches and cabinets at random but repeatable free places until there are ``count`` boxes."""
    xs, ys = zip(*plan.room.outline, strict=True)
    area = (max(xs) - min(xs)) * (max(ys) - min(ys))
    most = min(1.2, 0.4 * math.sqrt(area / count))
    chance, boxes = random.Random(7), list(plan.furniture)
    for _ in range(2000 * count):
        if len(boxes) == count:
            return replace(plan, furniture=tuple(boxes))
        box = _box(len(boxes), chance, most, (min(xs), min(ys), max(xs), max(ys)))
        if all(math.hypot(box.x - b.x, box.y - b.y) > _reach(box) + _reach(b) for b in boxes):
            boxes.append(box)
    raise RuntimeError(f"{plan.name} has no room for {count} boxes")


def _box(number: int, chance: random.Random, most: float, room: tuple[float, float, float, float]) -> Furniture:
    kinds: tuple[tuple[FurnitureKind, float], ...] = (("machine", 1.2), ("bench", 0.9), ("cabinet", 1.9))
    kind, top = chance.choice(kinds)
    width, depth = chance.uniform(0.4, 1.0) * most, chance.uniform(0.4, 0.7) * most
    x, y = chance.uniform(room[0] + 0.7, room[2] - 0.7), chance.uniform(room[1] + 0.7, room[3] - 0.7)
    turn = chance.choice((0.0, 90.0, chance.uniform(0.0, 90.0)))
    return Furniture(f"x{number}", kind, f"{kind.capitalize()} {number}", x, y, width, depth, top, 0.0, turn)


def _reach(box: Furniture) -> float:
    return math.hypot(box.width, box.depth) / 2
