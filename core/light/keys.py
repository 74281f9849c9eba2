"""What the light depends on: a projection of the plan without names, prices, wiring and what else does not shine."""

from __future__ import annotations

from collections.abc import Hashable

from core.light.enclosure import Solid
from core.plan import Plan

__all__ = ["RoomKey", "room_key"]

RoomKey = tuple[Hashable, ...]


def room_key(plan: Plan, extra: tuple[Solid, ...] = ()) -> RoomKey:
    """Return a value that is equal for two plans whose rooms pass light alike and are read at the same points.

    That of the plan asked for last is remembered, since it is asked for several times in every frame of a drag.
    """
    global _last
    asked = (plan.room, plan.furniture, plan.work_plane, plan.targets.wall_band, extra)
    known = _last
    if known is None or any(one is not other for one, other in zip(asked, known[0], strict=True)):
        known = _last = asked, _worked_out(plan, extra)
    return known[1]


_last: tuple[tuple[object, ...], RoomKey] | None = None


def _worked_out(plan: Plan, extra: tuple[Solid, ...]) -> RoomKey:
    room = plan.room
    walls = tuple(room.wall_finish(i).reflectance for i in range(len(room.outline)))
    openings = tuple(
        (
            o.id,
            o.kind == "overhead door",
            o.wall,
            o.start,
            o.width,
            o.height,
            o.sill,
            o.reflectance,
            o.is_open,
        )
        for o in room.openings
    )
    boxes = tuple(
        (f.id, f.kind == "bench", f.x, f.y, f.width, f.depth, f.top, f.bottom, f.rotation_deg, f.reflectance)
        for f in plan.furniture
    )
    shell = (room.outline, room.height, room.ceiling.reflectance, room.floor.reflectance, walls)
    return (shell, openings, boxes, plan.work_plane, plan.targets.wall_band, extra)
