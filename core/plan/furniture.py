"""Benches, machines and cabinets: true-to-scale boxes that stand or hang in the room, block light and reflect it.

A box's local x runs along its width, local y along its depth; its front is the side of negative local y. A bench has a
work surface (its top) and a side where its worker stands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le

from core.plan.room import STRICT, Height, Point, Reflectance, Size

__all__ = ["Furniture", "FurnitureKind", "Side", "Worker", "box_corners", "standing_place"]

FurnitureKind = Literal["bench", "machine", "cabinet"]
Side = Literal["front", "back", "left", "right", "nobody"]

_SIDE_NORMAL: dict[str, Point] = {
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
}


@dataclass(frozen=True, slots=True)
class Worker:
    """The person at a bench: 18 x 10 in, 5 ft 9 in, reflectance 0.3, 4 in off the edge, unless told otherwise.

    A ``leaning`` one bends over the bench from the hips.
    """

    width: Size = 0.4572
    depth: Size = 0.254
    height: Size = 1.7526
    reflectance: Reflectance = 0.3
    gap: Height = 0.1016
    hand: Literal["left", "right"] = "right"
    leaning: bool = False

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Furniture:
    """One box. ``x, y`` is its centre [m]; it fills the heights ``bottom`` to ``top``.

    A bench on legs has its ``bottom`` at the underside of the top; a chest of drawers stands on the floor (0).
    ``target_lux`` is the illuminance wanted on a bench's top; None means the plan's own target.
    """

    id: str
    kind: FurnitureKind
    name: str
    x: float
    y: float
    width: Size
    depth: Size
    top: Size
    bottom: Height = 0.0
    rotation_deg: float = 0.0
    reflectance: Reflectance = 0.4
    worker_side: Side = "nobody"
    target_lux: Annotated[float, Ge(1.0), Le(100_000.0)] | None = None

    __pydantic_config__ = STRICT


def box_corners(x: float, y: float, width: float, depth: float, rotation_deg: float) -> tuple[Point, ...]:
    """Return the four plan corners of a rectangle about its centre, counter-clockwise [m]."""
    c, s = math.cos(math.radians(rotation_deg)), math.sin(math.radians(rotation_deg))
    return tuple(
        (x + c * dx - s * dy, y + s * dx + c * dy)
        for dx, dy in (
            (-width / 2, -depth / 2),
            (width / 2, -depth / 2),
            (width / 2, depth / 2),
            (-width / 2, depth / 2),
        )
    )


def standing_place(item: Furniture, worker: Worker) -> tuple[float, float, float] | None:
    """Return where the worker of a bench or machine stands.

    Returns
    -------
    (x, y, facing) or None
        Centre of the body [m] and the direction in which the worker looks [degree], towards the bench. None where
        nobody stands.
    """
    if item.worker_side == "nobody":
        return None
    nx, ny = _SIDE_NORMAL[item.worker_side]
    reach = (item.depth if nx == 0.0 else item.width) / 2 + worker.gap + worker.depth / 2
    c, s = math.cos(math.radians(item.rotation_deg)), math.sin(math.radians(item.rotation_deg))
    dx, dy = nx * reach, ny * reach
    x, y = item.x + c * dx - s * dy, item.y + s * dx + c * dy
    facing = math.degrees(math.atan2(-(s * nx + c * ny), -(c * nx - s * ny)))
    return x, y, facing % 360.0
