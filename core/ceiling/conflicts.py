"""Where a fixture's body is in the way of something, and by how much.

Bodies are upright prisms (`core.ceiling.bodies`). For every pair the free distance is told, negative where they
overlap, with the distance wanted (`core.plan.ceiling.CeilingClearances`, where each figure's origin is given). An open
overhead door takes the room of its head height plus headroom, as far back as it is tall. Under suspended and low bodies
a tall person and a sheet of plywood stood on end must pass, except over a bench, where nobody walks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import shapely

from core.ceiling.bodies import (
    Body,
    apart,
    door_leaf,
    fixture_body,
    furniture_body,
    keep_out_body,
    overhead_door,
)
from core.ceiling.feeding import ceiling_points
from core.ceiling.joists import place_to_joists, zone_at
from core.plan import Fixture, KeepOut, Plan, Point
from core.units import UnitSystem, show_inches_decimal, show_length

__all__ = ["Conflict", "conflicts", "in_the_way"]

Severity = Literal["conflict", "tight", "notice"]
_ORDER = {"conflict": 0, "tight": 1, "notice": 2}
_PASSAGE = 0.61
"""Furniture higher than this [m] keeps people from walking under what hangs over it: 2 ft."""
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True)
class Conflict:
    """One body and what it is in the way of.

    ``clearance`` is the free distance and ``wanted`` what there should be [m]; the first is negative where the two
    overlap. ``severity``: they overlap or someone runs into it (conflict), less room than wanted (tight), or worth
    knowing (notice). ``shift`` is a move on the plan that clears it [m], None where only the height helps.
    """

    severity: Severity
    fixture: str
    other: str
    what: str
    clearance: float
    wanted: float
    cause: str
    remedy: str
    source: str
    shift: Point | None = None

    def figure(self, system: UnitSystem) -> str:
        """Return the clearance as a figure: decimal inches, or millimetres."""
        return show_inches_decimal(self.clearance) if system is UnitSystem.US else show_length(self.clearance, system)


def conflicts(plan: Plan) -> tuple[Conflict, ...]:
    """Return every conflict, worst first: overlaps before tight places before notices, smallest clearance first."""
    found: list[Conflict] = []
    for fixture in plan.fixtures:
        body = fixture_body(plan, fixture)
        parts = (_keep_outs, _doors, _furniture, _fixtures, _walls, _headroom, _cut_outs)
        for part in parts:
            found += part(plan, fixture, body)
    return tuple(sorted(found, key=lambda c: (_ORDER[c.severity], c.clearance, c.fixture, c.other)))


def in_the_way(plan: Plan) -> dict[str, tuple[str, ...]]:
    """Return for each fixture that cannot hang where it is drawn what it meets there."""
    met: dict[str, tuple[str, ...]] = {}
    for conflict in conflicts(plan):
        if conflict.severity == "conflict":
            met[conflict.fixture] = (*met.get(conflict.fixture, ()), conflict.what)
    return met


def _system(plan: Plan) -> UnitSystem:
    return UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US


def _name(plan: Plan, fixture: Fixture) -> str:
    return fixture.name or plan.model(fixture.model).name


def _against(
    plan: Plan,
    fixture: Fixture,
    body: Body,
    other: Body,
    named: tuple[str, str],
    wanted: float,
    source: str,
    below: float | None = None,
) -> Iterator[Conflict]:
    """Compare a body with another one; ``below`` is the distance wanted in height where it differs."""
    flat, height, way = apart(body, other)
    wanted_height = wanted if below is None else below
    if flat >= wanted - _TOUCH or height >= wanted_height - _TOUCH:
        return
    overlaps = flat < -_TOUCH and height < -_TOUCH
    clearance = max(flat, height)
    needed = wanted - flat
    system = _system(plan)
    if overlaps:
        depth = f"{show_length(-flat, system)} on the plan, {show_length(-height, system)} in height"
        cause = f"{_name(plan, fixture)} overlaps {named[1]}: {depth}"
    else:
        free = show_length(max(clearance, 0.0), system)
        cause = f"{_name(plan, fixture)} is {free} from {named[1]}, where {show_length(wanted, system)} is wanted"
    yield Conflict(
        "conflict" if overlaps else "tight",
        fixture.id,
        named[0],
        named[1],
        clearance,
        wanted if height < 0.0 or below is None else wanted_height,
        f"{cause}.",
        f"Move it {show_length(needed, system)} {_heading(way)}, or change its height.",
        source,
        (way[0] * needed, way[1] * needed),
    )


def _keep_outs(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    for item in plan.room.keep_outs:
        named = (item.id, item.name or f"the {item.kind}")
        wanted = float(getattr(plan.ceiling.clearances, item.kind))
        obstacle = keep_out_body(plan.room, item)
        if item.kind == "sprinkler":
            below = plan.ceiling.clearances.below_sprinkler
            yield from _against(plan, fixture, body, obstacle, named, wanted, "NFPA 13, from memory", below)
        elif item.kind == "hatch":
            # The leaf swings down: whatever hangs under it is in the way at any height.
            column = Body(obstacle.outline, 0.0, plan.room.height)
            yield from _against(plan, fixture, body, column, named, wanted, "common practice, no source")
        else:
            yield from _against(
                plan, fixture, body, _flush(obstacle, item), named, wanted, "common practice, no source"
            )


def _flush(body: Body, item: KeepOut) -> Body:
    return body if item.drop > 0.0 else Body(body.outline, body.low - 0.001, body.high)


def _doors(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    clearances = plan.ceiling.clearances
    for door in plan.room.openings:
        if door.kind == "overhead door":
            zone = overhead_door(plan.room, door, clearances.door_side, clearances.door_headroom)
            named = (door.id, f"the open {door.name or 'overhead door'}")
            source = "published door guides: 12 in headroom, 3 3/4 in side room"
            yield from _against(plan, fixture, body, zone, named, 0.0, source)
            yield from _shaded(plan, fixture, body, zone, named)
        elif door.kind == "door" and door.swing == "in":
            named = (door.id, f"the swing of {door.name or 'the door'}")
            leaf = door_leaf(plan.room, door)
            yield from _against(plan, fixture, body, leaf, named, clearances.door_leaf, "common practice, no source")


def _shaded(plan: Plan, fixture: Fixture, body: Body, door: Body, named: tuple[str, str]) -> Iterator[Conflict]:
    """Tell of a fixture above an open door: it clears it, but its light falls on the door."""
    covered = body.shape.intersection(door.shape).area / body.shape.area
    if covered > 0.25 and body.low >= door.high - _TOUCH:
        yield Conflict(
            "notice",
            fixture.id,
            named[0],
            named[1],
            body.low - door.high,
            0.0,
            f"{_name(plan, fixture)} hangs above {named[1]}, which hides it while it is open.",
            "Count on its light only with the door closed.",
            "geometry",
        )


def _furniture(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    if plan.model(fixture.model).mounting == "bench" or fixture.height is not None:
        return
    for item in plan.furniture:
        yield from _against(plan, fixture, body, furniture_body(item), (item.id, item.name), 0.0, "geometry")


def _fixtures(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    ids = [other.id for other in plan.fixtures]
    for other in plan.fixtures[ids.index(fixture.id) + 1 :]:
        named = (other.id, f"{_name(plan, other)} ({other.id})")
        yield from _against(plan, fixture, body, fixture_body(plan, other), named, 0.0, "geometry")


def _walls(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    room = shapely.Polygon(plan.room.outline)
    if room.buffer(0.001).covers(body.shape):
        return
    out = body.shape.difference(room)
    depth = max(float(room.boundary.distance(shapely.Point(p))) for p in shapely.get_coordinates(out))
    yield Conflict(
        "conflict",
        fixture.id,
        "room",
        "the walls",
        -depth,
        0.0,
        f"{_name(plan, fixture)} reaches {show_length(depth, _system(plan))} into or beyond a wall.",
        "Move it into the room.",
        "geometry",
    )


def _headroom(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    if plan.model(fixture.model).mounting == "bench" or fixture.height is not None or _is_over_furniture(plan, body):
        return
    clearances, system = plan.ceiling.clearances, _system(plan)
    hung = fixture.drop > 0.0
    source = "common practice, no source"
    for what, tall, severity in (
        ("a tall person", clearances.person, "conflict"),
        ("a sheet of plywood stood on end", clearances.raised_sheet, "notice"),
    ):
        free = body.low - tall
        # Under what lies flush with it, the ceiling itself stops the sheet.
        if free >= -_TOUCH or (severity == "notice" and not hung):
            continue
        yield Conflict(
            "conflict" if severity == "conflict" else "notice",
            fixture.id,
            "headroom",
            what,
            free,
            0.0,
            f"The underside of {_name(plan, fixture)} is {show_length(body.low, system)} above the floor:"
            f" {what} ({show_length(tall, system)}) does not pass.",
            "Hang it higher, or over a bench where nobody walks."
            if hung
            else "Choose a flatter or a recessed fixture.",
            source,
        )


def _is_over_furniture(plan: Plan, body: Body) -> bool:
    middle = body.shape.centroid
    return any(item.top >= _PASSAGE and furniture_body(item).shape.covers(middle) for item in plan.furniture)


def _cut_outs(plan: Plan, fixture: Fixture, body: Body) -> Iterator[Conflict]:
    """Find recessed fixtures whose hole meets a joist."""
    point = next((p for p in ceiling_points(plan) if p.fixture.id == fixture.id), None)
    if point is None or point.feeding.kind != "cut-out":
        return
    zone = zone_at(plan, (point.x, point.y))
    if zone is None:
        return
    free = place_to_joists(zone, (point.x, point.y))[1] - point.feeding.hole / 2
    if free < 0.0:
        yield Conflict(
            "conflict",
            fixture.id,
            zone.id,
            "a joist",
            free,
            0.0,
            f"The cut-out of {_name(plan, fixture)} meets a joist by {show_length(-free, _system(plan))}.",
            "Move it square to the joists; never notch one.",
            "geometry",
        )


def _heading(way: Point) -> str:
    """Return a direction in words, as the sheet lies: to the right, to the back and left."""
    sideways = "right" if way[0] > 0 else "left"
    lengthways = "back" if way[1] > 0 else "front"
    if abs(way[0]) < 0.2:
        return f"to the {lengthways}"
    if abs(way[1]) < 0.2:
        return f"to the {sideways}"
    return f"to the {lengthways} and {sideways} ({math.degrees(math.atan2(way[1], way[0])) % 360.0:.0f}°)"
