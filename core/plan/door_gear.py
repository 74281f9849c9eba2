"""What an overhead door needs under the ceiling: its two tracks and its opener, as keep-outs that belong to the door.

Tracks run back from both jambs by the door's height and 16 in, in a side room of 3 3/4 in, and want 12 in above the
head of the door for torsion springs; about 15 in with an opener (published door guides). The opener hangs in the
middle and reaches the door's height and 3 to 4 ft back (from memory; the middle of the two is taken). All hang from
the ceiling down to the head of the door: what the open leaf and its hardware take. Sizes differ; the door's own
sheet comes first. Gear follows its door until it is moved by itself.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace

from core.plan.plan import Plan
from core.plan.room import KeepOut, KeepOutKind, Opening, Point, Room
from core.plan.settle import settled
from core.plan.things import all_ids, fresh
from core.units import FOOT, INCH

__all__ = ["HEADROOM", "OPENER_HEADROOM", "gear_of", "headroom", "with_door_gear", "with_gear_following"]

TRACK_WIDTH = 3.75 * INCH
TRACK_BEYOND = 16 * INCH
"""How far the tracks reach back beyond the door's height [m]."""
OPENER_WIDTH = 12 * INCH
"""A rail is narrower, the motor's case about this wide (common practice, no source) [m]."""
OPENER_BEYOND = 3.5 * FOOT
HEADROOM = 12 * INCH
"""Free height wanted above the head of the door, with torsion springs [m]."""
OPENER_HEADROOM = 15 * INCH
"""The same with an opener [m]."""
_LEAST_DROP = 2 * INCH

_Part = tuple[KeepOutKind, str, float, float, float]  # kind, name, middle along the wall, width, reach [m]


def gear_of(room: Room, door_id: str) -> tuple[KeepOut, ...]:
    """Return the keep-outs that belong to a door."""
    return tuple(item for item in room.keep_outs if item.door and item.door == door_id)


def headroom(room: Room, door: Opening) -> float:
    """Return the height between the head of a door and the ceiling [m]."""
    return room.height - door.sill - door.height


def with_door_gear(plan: Plan, door_id: str) -> Plan:
    """Give an overhead door its tracks and opener; those that it has are put where they belong.

    Raises
    ------
    KeyError
        If there is no overhead door with this id.
    """
    room = plan.room
    door = next((o for o in room.openings if o.id == door_id and o.kind == "overhead door"), None)
    if door is None:
        raise KeyError(door_id)
    known = gear_of(room, door_id)
    taken, made = all_ids(plan), list[KeepOut]()
    for part in _parts(door):
        kind, name, *_ = part
        old = next((item for item in known if (item.kind, item.name) == (kind, name)), None)
        identity = old.id if old is not None else fresh(taken, kind)
        taken.add(identity)
        made.append(_placed(room, door, part, identity))
    own = {item.id: item for item in made}
    kept = [own.pop(item.id, item) for item in room.keep_outs]
    return replace(plan, room=replace(room, keep_outs=(*kept, *own.values())))


def with_gear_following(plan: Plan, touched: Collection[str] = ()) -> Plan:
    """Put the gear of all doors where the doors are now.

    Gear among ``touched`` was changed by itself: it stays as it is and belongs to no door any more, unless its door
    was touched too. Gear of a door that is gone goes with it.
    """
    room = plan.room
    if not any(item.door for item in room.keep_outs):
        return plan
    doors = {o.id for o in room.openings if o.kind == "overhead door"}
    kept = []
    for item in room.keep_outs:
        if item.door and item.door not in doors:
            continue
        is_loose = bool(item.door) and item.id in touched and item.door not in touched
        kept.append(replace(item, door="") if is_loose else item)
    if tuple(kept) != room.keep_outs:
        plan = replace(plan, room=replace(room, keep_outs=tuple(kept)))
    return _refitted(plan)


def _refitted(plan: Plan) -> Plan:
    """Lay the gear that doors have anew; parts that were taken off a door stay off."""
    room, changed = plan.room, dict[str, KeepOut]()
    for door in room.openings:
        own = {(item.kind, item.name): item.id for item in gear_of(room, door.id)}
        for part in _parts(door) if own else ():
            identity = own.get((part[0], part[1]))
            if identity is not None:
                changed[identity] = _placed(room, door, part, identity)
    kept = tuple(changed.get(item.id, item) for item in room.keep_outs)
    return plan if kept == room.keep_outs else replace(plan, room=replace(room, keep_outs=kept))


def _parts(door: Opening) -> Sequence[_Part]:
    back = door.height + TRACK_BEYOND
    side = TRACK_WIDTH / 2
    # The room lies to the left of a wall: seen from inside, a wall begins at the right.
    return (
        ("track", "Right track", door.start - side, TRACK_WIDTH, back),
        ("track", "Left track", door.start + door.width + side, TRACK_WIDTH, back),
        ("opener", "Opener", door.start + door.width / 2, OPENER_WIDTH, door.height + OPENER_BEYOND),
    )


def _placed(room: Room, door: Opening, part: _Part, identity: str) -> KeepOut:
    kind, name, along, width, reach = part
    (ax, ay), (ux, uy), (nx, ny) = _wall_frame(room, door)
    middle: Point = (ax + along * ux + reach / 2 * nx, ay + along * uy + reach / 2 * ny)
    drop = max(headroom(room, door), _LEAST_DROP)
    turn = math.degrees(math.atan2(uy, ux)) % 360.0
    x, y = settled(middle[0]), settled(middle[1])
    return KeepOut(identity, kind, x, y, settled(width), settled(reach), settled(turn), settled(drop), name, door.id)


def _wall_frame(room: Room, door: Opening) -> tuple[Point, Point, Point]:
    a, b = room.wall(door.wall)
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    return a, (ux, uy), (-uy, ux)
