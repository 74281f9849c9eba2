"""What each thing covers on the plan, what it is called, and the box around several: pure questions to a
Plan."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from core.plan import Fixture, Furniture, JoistZone, KeepOut, Note, Opening, Plan, Point, Room, Underlay, box_corners
from core.plan.edits import find

__all__ = [
    "Box",
    "Drawn",
    "box_around",
    "box_of_room",
    "centre_of",
    "corners_of",
    "drawn_things",
    "name_of",
    "named",
    "opening_ends",
    "rotation_of",
    "size_of",
    "thing_with",
]

Box = tuple[float, float, float, float]
Drawn = Fixture | Furniture | KeepOut | Opening | Note | Underlay

_EMPTY_SHEET: Box = (0.0, 0.0, 7.3152, 5.4864)  # 24 x 18 ft to start on


def drawn_things(plan: Plan) -> Iterator[Drawn]:
    """Go through everything that lies on the sheet, top to bottom of the drawing; not the picture under all of it."""
    yield from reversed(plan.notes)
    yield from reversed(plan.fixtures)
    yield from sorted(plan.furniture, key=lambda item: item.width * item.depth)
    yield from plan.room.openings
    yield from plan.room.keep_outs


def thing_with(plan: Plan, identity: str) -> Drawn | None:
    """Return the thing with this id, the picture underneath among them, or None."""
    underlay = plan.underlay
    if underlay is not None and underlay.id == identity:
        return underlay
    return next((thing for thing in drawn_things(plan) if thing.id == identity), None)


def size_of(plan: Plan, thing: Drawn) -> tuple[float, float]:
    """Return width and depth along the thing's own axes [m]; an opening has no depth."""
    if isinstance(thing, Fixture):
        model = plan.model(thing.model)
        return model.length, model.width
    if isinstance(thing, Opening):
        return thing.width, 0.0
    if isinstance(thing, Underlay):
        return thing.width, thing.width * thing.aspect
    return thing.size if isinstance(thing, Note) else (thing.width, thing.depth)


def rotation_of(plan: Plan, thing: Drawn) -> float:
    """Return the direction of the thing's own x axis [degree]."""
    if not isinstance(thing, Opening):
        return thing.rotation_deg
    (ax, ay), (bx, by) = plan.room.wall(thing.wall)
    return math.degrees(math.atan2(by - ay, bx - ax))


def centre_of(plan: Plan, thing: Drawn) -> Point:
    """Return the thing's centre [m]."""
    if isinstance(thing, Opening):
        (ax, ay), (bx, by) = opening_ends(plan.room, thing)
        return (ax + bx) / 2, (ay + by) / 2
    return thing.x, thing.y


def corners_of(plan: Plan, thing: Drawn) -> tuple[Point, ...]:
    """Return the four corners of what the thing covers, counter-clockwise [m]."""
    x, y = centre_of(plan, thing)
    return box_corners(x, y, *size_of(plan, thing), rotation_of(plan, thing))


def opening_ends(room: Room, opening: Opening) -> tuple[Point, Point]:
    """Return the two jambs of a door or window on the inner face of its wall [m]."""
    (ax, ay), (bx, by) = room.wall(opening.wall % len(room.outline))
    length = math.hypot(bx - ax, by - ay) or 1.0
    ux, uy = (bx - ax) / length, (by - ay) / length
    start, end = opening.start, opening.start + opening.width
    return (ax + ux * start, ay + uy * start), (ax + ux * end, ay + uy * end)


def name_of(plan: Plan, thing: Drawn) -> str:
    """Return what a person calls the thing."""
    if isinstance(thing, Note):
        return f"note '{thing.lines[0][:24]}'"
    if thing.name:
        return thing.name
    if isinstance(thing, Underlay):
        return "picture"
    return plan.model(thing.model).name if isinstance(thing, Fixture) else thing.kind


def box_around(plan: Plan, ids: Iterable[str]) -> Box | None:
    """Return the upright box around these things ``(x0, y0, x1, y1)`` [m]; None where there is none of
    them."""
    wanted = frozenset(ids)
    things = [*drawn_things(plan), *([plan.underlay] if plan.underlay is not None else [])]
    found = [p for thing in things if thing.id in wanted for p in corners_of(plan, thing)]
    return _bounds(found) if found else None


def box_of_room(plan: Plan) -> Box:
    """Return the box around the room and all that stands outside of it; a clean sheet where there is
    nothing."""
    found = list(plan.room.outline) + [p for thing in drawn_things(plan) for p in corners_of(plan, thing)]
    return _bounds(found) if found else _EMPTY_SHEET


def named(plan: Plan, ids: frozenset[str]) -> str:
    """Return how an undo step calls these things."""
    if len(ids) == 1:
        thing = thing_with(plan, next(iter(ids)))
        if thing is not None:
            return name_of(plan, thing)
        other = find(plan, next(iter(ids)))
        return "joists" if isinstance(other, JoistZone) else "1 thing"
    return f"{len(ids)} things"


def _bounds(points: list[Point]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)
