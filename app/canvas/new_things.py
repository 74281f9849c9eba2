"""New benches, machines, cabinets, doors, windows and things on the ceiling as they first appear.

Sizes are everyday ones (common practice, no source). A bench gets its worker on the long side with more
room before it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from core.plan import Furniture, FurnitureKind, KeepOut, Opening, Plan, Side
from core.plan.edits import added, fresh_id, walls_around
from core.plan.room import KeepOutKind, OpeningKind
from core.units import FOOT, INCH

__all__ = [
    "KEEP_OUT_SIZES",
    "OPENING_SIZES",
    "USUAL_SIZES",
    "new_opening",
    "with_new_furniture",
    "with_new_keep_out",
]

USUAL_SIZES: dict[FurnitureKind, tuple[float, float, float, float]] = {
    # width, depth, top, bottom [m]
    "bench": (6 * FOOT, 30 * INCH, 36 * INCH, 33 * INCH),
    "machine": (24 * INCH, 24 * INCH, 42 * INCH, 0.0),
    "cabinet": (36 * INCH, 18 * INCH, 72 * INCH, 0.0),
}
KEEP_OUT_SIZES: dict[KeepOutKind, tuple[float, float, float]] = {
    # width, depth, how far it hangs down [m]
    "track": (3 * INCH, 8 * FOOT, 12 * INCH),
    "opener": (12 * INCH, 10 * FOOT, 15 * INCH),
    "hatch": (22 * INCH, 54 * INCH, 0.0),
    "beam": (10 * FOOT, 6 * INCH, 10 * INCH),
    "duct": (10 * FOOT, 12 * INCH, 10 * INCH),
    "sprinkler": (3 * INCH, 3 * INCH, 3 * INCH),
    "fan": (52 * INCH, 52 * INCH, 14 * INCH),
    "other": (12 * INCH, 12 * INCH, 6 * INCH),
}
OPENING_SIZES: dict[OpeningKind, tuple[float, float, float]] = {
    # width, height, sill [m]
    "door": (36 * INCH, 80 * INCH, 0.0),
    "window": (48 * INCH, 36 * INCH, 42 * INCH),
    "overhead door": (9 * FOOT, 7 * FOOT, 0.0),
}


def with_new_furniture(
    plan: Plan, kind: FurnitureKind, x: float, y: float, size: tuple[float, float] | None = None
) -> tuple[Plan, str]:
    """Return the plan with a new box about a centre [m], and its id."""
    if kind not in get_args(FurnitureKind):
        raise ValueError(f"There is no furniture called {kind}.")
    width, depth, top, bottom = USUAL_SIZES[kind]
    if size is not None:
        width, depth = size
    identity = fresh_id(plan, kind)
    item = Furniture(identity, kind, _name(plan, kind), x, y, width, depth, top, bottom)
    if kind == "bench":
        item = replace(item, worker_side=_roomier_side(plan, item))
    return added(plan, item), identity


def with_new_keep_out(
    plan: Plan, kind: KeepOutKind, x: float, y: float, size: tuple[float, float] | None = None
) -> tuple[Plan, str]:
    """Return the plan with something on the ceiling about a centre [m], and its id."""
    width, depth, drop = KEEP_OUT_SIZES[kind]
    if size is not None:
        width, depth = size
    identity = fresh_id(plan, kind)
    item = KeepOut(identity, kind, x, y, width, depth, drop=min(drop, plan.room.height))
    return added(plan, item), identity


def new_opening(plan: Plan, kind: OpeningKind, wall: int, start: float, width: float) -> Opening:
    """Return a new door or window in a wall, beginning so far from its first corner [m]."""
    _, height, sill = OPENING_SIZES[kind]
    return Opening(
        fresh_id(plan, kind.replace(" ", "-")),
        kind,
        wall,
        start,
        width,
        min(height, plan.room.height - sill),
        sill,
        reflectance=0.1 if kind == "window" else 0.5,
    )


def _name(plan: Plan, kind: str) -> str:
    """Return the kind with a capital, numbered from the second one on."""
    taken = {item.name for item in plan.furniture}
    base, number = kind.capitalize(), 1
    while (base if number == 1 else f"{base} {number}") in taken:
        number += 1
    return base if number == 1 else f"{base} {number}"


def _roomier_side(plan: Plan, item: Furniture) -> Side:
    around = {side: hit.distance for side, hit in walls_around(plan.room, item.x, item.y).items()}
    if item.width >= item.depth:
        return "front" if around.get("front", 0.0) >= around.get("back", 0.0) else "back"
    return "left" if around.get("left", 0.0) >= around.get("right", 0.0) else "right"
