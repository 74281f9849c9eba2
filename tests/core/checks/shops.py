"""Small shops whose light has a closed form, or a known right and wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from core.plan import Finish, Fixture, Furniture, Group, Model, Plan, PowerSetting, Room

__all__ = ["STRIP", "bench_shop", "lamp", "room"]

STRIP = Model(
    "strip",
    "4 ft strip",
    "strip",
    1.2192,
    0.1,
    0.05,
    "rectangle",
    1.2,
    0.15,
    (PowerSetting(40.0, 5000.0),),
    (3000, 4000, 5000),
)


def room(side: float = 4.0, height: float = 4.0, reflectance: float = 0.0) -> Room:
    """A square room with one reflectance everywhere."""
    finish = Finish("paint", reflectance)
    outline = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
    return Room(outline, height, finish, finish, finish)


def lamp(lumens: float, identity: str = "bulb") -> Model:
    """A point that shines the same in all directions."""
    return Model(
        identity,
        "bare bulb",
        "downlight",
        0.1,
        0.1,
        0.1,
        "point",
        0.0,
        0.0,
        (PowerSetting(10.0, lumens),),
        (3000, 4000),
        beam="all round",
    )


def bench_shop(strip_y: float, *more: Fixture, **worker: Any) -> Plan:
    """A bench at the front wall of a 4.5 x 3.6 m shop, its worker behind it, and a strip across at ``strip_y``.

    Room, bench, body and strip at 1.9 m are those of the reference pair j1, j2.
    """
    shell = Room(
        ((0.0, 0.0), (4.5, 0.0), (4.5, 3.6), (0.0, 3.6)), 2.5, Finish("c", 0.7), Finish("w", 0.5), Finish("f", 0.2)
    )
    bench = Furniture("bench-1", "bench", "Bench", 2.25, 0.35, 3.0, 0.7, 0.91, 0.87, reflectance=0.5)
    plan = Plan(
        "Test shop",
        shell,
        furniture=(replace(bench, worker_side="back"),),
        models=(STRIP, lamp(1000.0)),
        fixtures=(Fixture("fixture-1", "strip", 2.25, strip_y, height=2.47), *more),
        groups=(Group("A", "All"), Group("B", "Rest")),
    )
    body = replace(plan.worker, width=0.45, depth=0.25, height=1.75, gap=0.125, reflectance=0.3, **worker)
    return replace(plan, worker=body)
