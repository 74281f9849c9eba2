"""Where a thing is, as a tape measure says it: from its centre to the walls left, right, in front and behind.

Front is down the sheet (-y) and back up the sheet (+y). The tape is held along the thing's own axes, each
named by the direction of the sheet that it is nearest to: a bench set at 30 degrees is measured along its
edges, a strip turned by 90 degrees still has its left wall at the left of the sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from core.plan.fixtures import Fixture
from core.plan.furniture import Furniture
from core.plan.plan import Plan
from core.plan.room import KeepOut, Point, Room
from core.plan.settle import settled

__all__ = ["WallDistance", "WallSide", "placed_from_wall", "position_from_walls", "walls_around"]

WallSide = Literal["left", "right", "front", "back"]
_HEADING: dict[WallSide, float] = {"right": 0.0, "back": 90.0, "left": 180.0, "front": 270.0}
_PARALLEL = 1e-12
_END = 1e-9


@dataclass(frozen=True, slots=True)
class WallDistance:
    """The nearest wall in one direction: which one, how far [m], and where the tape meets it [m]."""

    wall: int
    distance: float
    foot: Point


def walls_around(room: Room, x: float, y: float, rotation_deg: float = 0.0) -> dict[WallSide, WallDistance]:
    """Return the nearest wall on each side of a point; outside the room a side may have none."""
    skew = (rotation_deg + 45.0) % 90.0 - 45.0
    found: dict[WallSide, WallDistance] = {}
    for side, heading in _HEADING.items():
        hit = _first_wall(room, (x, y), _direction(heading + skew))
        if hit is not None:
            found[side] = hit
    return found


def position_from_walls(plan: Plan, identity: str) -> dict[WallSide, float]:
    """Return the distances of a thing's centre to the walls around it [m].

    Raises
    ------
    KeyError
        If no fixture, piece of furniture or keep-out has this id.
    """
    thing = _placed_thing(plan, identity)
    around = walls_around(plan.room, thing.x, thing.y, thing.rotation_deg)
    return {side: hit.distance for side, hit in around.items()}


def placed_from_wall(plan: Plan, identity: str, side: WallSide, distance: float) -> Plan:
    """Move a thing so that its centre has this distance [m] to the wall on one side.

    Raises
    ------
    KeyError
        If nothing has this id, or no wall lies on that side.
    """
    thing = _placed_thing(plan, identity)
    hit = walls_around(plan.room, thing.x, thing.y, thing.rotation_deg)[side]
    away = hit.distance - distance
    ux, uy = ((hit.foot[0] - thing.x), (hit.foot[1] - thing.y))
    reach = math.hypot(ux, uy)
    if reach == 0.0:
        ux, uy = _direction(_HEADING[side] + (thing.rotation_deg + 45.0) % 90.0 - 45.0)
        reach = 1.0
    x, y = settled(thing.x + ux / reach * away), settled(thing.y + uy / reach * away)
    return _moved_to(plan, thing, x, y)


def _moved_to(plan: Plan, thing: Fixture | Furniture | KeepOut, x: float, y: float) -> Plan:
    match thing:
        case Fixture():
            there = replace(thing, x=x, y=y)
            return replace(plan, fixtures=tuple(there if f.id == thing.id else f for f in plan.fixtures))
        case Furniture():
            item = replace(thing, x=x, y=y)
            return replace(plan, furniture=tuple(item if f.id == thing.id else f for f in plan.furniture))
        case KeepOut():
            kept = replace(thing, x=x, y=y, door="")  # put by hand, it follows no door any more
            outs = tuple(kept if k.id == thing.id else k for k in plan.room.keep_outs)
            return replace(plan, room=replace(plan.room, keep_outs=outs))


def _placed_thing(plan: Plan, identity: str) -> Fixture | Furniture | KeepOut:
    things: list[Fixture | Furniture | KeepOut] = [*plan.fixtures, *plan.furniture, *plan.room.keep_outs]
    for thing in things:
        if thing.id == identity:
            return thing
    raise KeyError(identity)


def _direction(heading_deg: float) -> Point:
    # Exact along the sheet's axes, where nearly everything is.
    exact = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}.get(heading_deg % 360.0)
    return exact or (math.cos(math.radians(heading_deg)), math.sin(math.radians(heading_deg)))


def _first_wall(room: Room, origin: Point, direction: Point) -> WallDistance | None:
    """Return the first wall that a ray from ``origin`` meets, walls through the origin included."""
    best: WallDistance | None = None
    for index in range(len(room.outline)):
        a, b = room.wall(index)
        ex, ey = b[0] - a[0], b[1] - a[1]
        turn = direction[0] * ey - direction[1] * ex
        if abs(turn) < _PARALLEL * math.hypot(ex, ey):
            continue
        ax, ay = a[0] - origin[0], a[1] - origin[1]
        reach = (ax * ey - ay * ex) / turn
        share = (ax * direction[1] - ay * direction[0]) / turn
        if reach < -_END or not -_END <= share <= 1.0 + _END:
            continue
        if best is None or reach < best.distance:
            reach = settled(max(reach, 0.0))
            foot = (origin[0] + direction[0] * reach, origin[1] + direction[1] * reach)
            best = WallDistance(index, reach, foot)
    return best
