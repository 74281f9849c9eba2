"""Hanging alone: where the ladder stands, what holds the body meanwhile, when a second person is needed.

Figures are common practice without a source unless said: a person on a ladder works up to 30 in to either side with the
belt between the rails; above a ceiling of 10 ft a platform is wanted; one person lifts up to 20 lb and 4 ft of body
overhead alone, up to 30 lb with the body propped or strapped; bodies of 8 ft and more are propped at two places. The
free conductor at a box is 6 in (NEC 300.14, published quotation); the cable end of the model's entry is longer, so that
the body can be wired while it hangs in its straps.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from core.ceiling.feeding import on_plan
from core.ceiling.sheet import BoxRow, CeilingSheet
from core.plan import Plan, Point, box_corners

__all__ = ["HangingStep", "LadderStop", "hanging_steps", "ladder_stops"]

REACH = 0.762
LONG = 1.8
VERY_LONG = 2.4
ALONE = 9.1
"""20 lb [kg]."""
PROPPED = 13.6
"""30 lb [kg]."""
HIGH = 3.048
_STRAP = 0.3048
_ASIDE = 0.4572
_RAIL = 0.25
_TRIES = 8


@dataclass(frozen=True, slots=True)
class LadderStop:
    """One place of the ladder and the marks that are worked on from it; ``blocked_by`` is furniture in the way."""

    number: int
    place: Point
    marks: tuple[str, ...]
    blocked_by: str = ""


@dataclass(frozen=True, slots=True)
class HangingStep:
    """One fixture in the order of hanging.

    ``ladders`` are where the ladder stands for it [m], ``props`` the points of the body that are held and
    ``prop_height`` the height of its underside above the floor [m], ``strap`` the length of a strap's loop below the
    ceiling [m]; ``floor_note`` says what stands on the floor mark. ``second_person`` is why one is needed, or empty.
    """

    mark: str
    fixture: str
    ladders: tuple[Point, ...]
    props: tuple[Point, ...]
    prop_height: float
    strap: float
    weight: float
    cable_end: float
    floor_note: str
    second_person: str


def hanging_steps(sheet: CeilingSheet) -> tuple[HangingStep, ...]:
    """Return how each fixture is hung, in the order of the ladder's stops."""
    order = [mark for stop in ladder_stops(sheet) for mark in stop.marks]
    seen = dict.fromkeys(order)
    return tuple(_step(sheet, sheet.row(mark)) for mark in seen)


def ladder_stops(sheet: CeilingSheet) -> tuple[LadderStop, ...]:
    """Return few places of the ladder from which every box can be reached, in a short round.

    Greedy set cover over places near the boxes (within ln n + 1 of the fewest), then a round from stop to stop that is
    shortened by turning parts of it about (2-opt); the best there is may be somewhat shorter.
    """
    rows = sheet.rows
    if not rows:
        return ()
    spots = _spots(sheet)
    reach = [frozenset(i for i, row in enumerate(rows) if math.dist(spot, row.place) <= REACH) for spot, _ in spots]
    left, chosen = set(range(len(rows))), []
    while left:
        best = max(range(len(spots)), key=lambda s: (len(reach[s] & left), not spots[s][1], -s))
        if not reach[best] & left:
            best = min(range(len(spots)), key=lambda s: min(math.dist(spots[s][0], rows[i].place) for i in left))
            taken = {min(left, key=lambda i: math.dist(spots[best][0], rows[i].place))}
        else:
            taken = set(reach[best] & left)
        chosen.append((spots[best], sorted(taken)))
        left -= taken
    round_ = _short_round([spot for (spot, _), _ in chosen], rows[0].place)
    return tuple(
        LadderStop(n + 1, chosen[i][0][0], tuple(rows[k].mark for k in chosen[i][1]), chosen[i][0][1])
        for n, i in enumerate(round_)
    )


def _step(sheet: CeilingSheet, row: BoxRow) -> HangingStep:
    plan, point = sheet.plan, row.point
    model, fixture, feeding = point.model, point.fixture, point.feeding
    is_long = model.length >= LONG
    spread = model.length / 4
    held = [(-spread, 0.0), (spread, 0.0)] if is_long else [(0.0, 0.0)]
    ladders = tuple(_beside(sheet, row, local)[0] for local in held)
    low = plan.room.height - fixture.drop - model.body_height
    return HangingStep(
        mark=row.mark,
        fixture=fixture.id,
        ladders=ladders,
        props=tuple(on_plan(fixture, local) for local in held),
        prop_height=plan.room.height if model.mounting == "recessed" else low,
        strap=fixture.drop + model.body_height + _STRAP,
        weight=feeding.weight,
        cable_end=feeding.cable_end,
        floor_note=_stands_on(plan, row.place),
        second_person=_second_person(plan, row),
    )


def _second_person(plan: Plan, row: BoxRow) -> str:
    model, weight = row.point.model, row.point.feeding.weight
    if weight > PROPPED:
        return f"{weight / 0.45359237:.0f} lb is too heavy for one person overhead"
    if model.length >= VERY_LONG and plan.room.height > HIGH:
        return "a long body above a 10 ft ceiling: both ends must be held while it is fixed"
    if plan.room.height > 1.2 * HIGH:
        return "above 12 ft: a platform, and someone on the floor"
    return ""


def _beside(sheet: CeilingSheet, row: BoxRow, local: Point) -> tuple[Point, str]:
    """Return a free place for the ladder beside a point of the body: along its sides first, then further about."""
    x, y = on_plan(row.point.fixture, local)
    turn = math.radians(row.point.fixture.rotation_deg + 90.0)
    places = []
    for n in range(_TRIES):
        # Both long sides first, then the diagonals, then the ends.
        angle = turn + math.pi * (n % 2) + (n // 2) * math.pi / 4
        places.append((x + _ASIDE * math.cos(angle), y + _ASIDE * math.sin(angle)))
    places.append((x, y))
    for place in places:
        what = _in_the_way(sheet, place)
        if not what:
            return place, ""
    return places[0], _in_the_way(sheet, places[0])


def _spots(sheet: CeilingSheet) -> list[tuple[Point, str]]:
    """Return places for the ladder: beside every box, and between boxes that are near to each other."""
    spots = [_beside(sheet, row, (row.point.feeding.x, row.point.feeding.y)) for row in sheet.rows]
    for i, one in enumerate(sheet.rows):
        for other in sheet.rows[i + 1 :]:
            if math.dist(one.place, other.place) <= 2 * REACH:
                middle = ((one.place[0] + other.place[0]) / 2, (one.place[1] + other.place[1]) / 2)
                spots.append((middle, _in_the_way(sheet, middle)))
    return spots


def _in_the_way(sheet: CeilingSheet, place: Point) -> str:
    """Return what keeps the ladder from standing here; empty where the floor is free."""
    foot = shapely.Point(place).buffer(_RAIL)
    for item in sheet.plan.furniture:
        if shapely.Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)).intersects(foot):
            return item.name
    return "" if shapely.Polygon(sheet.survey.outline).covers(foot) else "the wall"


def _stands_on(plan: Plan, place: Point) -> str:
    """Return what stands on a floor mark, so that the mark goes on top of it or the plumb laser beside it."""
    for item in plan.furniture:
        box = shapely.Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
        if box.covers(shapely.Point(place)):
            return f"on {item.name}"
    return ""


def _short_round(places: Sequence[Point], start: Point) -> list[int]:
    """Return an order of places: nearest next, then parts turned about while that shortens the way."""
    left = list(range(len(places)))
    here, order = start, []
    while left:
        nearest = min(left, key=lambda i: (math.dist(here, places[i]), i))
        left.remove(nearest)
        order.append(nearest)
        here = places[nearest]
    better = True
    while better:
        better = False
        for i in range(len(order) - 1):
            for j in range(i + 2, len(order) + 1):
                turned = order[:i] + order[i:j][::-1] + order[j:]
                if _way(places, start, turned) < _way(places, start, order) - 1e-9:
                    order, better = turned, True
    return order


def _way(places: Sequence[Point], start: Point, order: Sequence[int]) -> float:
    walk = [start, *(places[i] for i in order)]
    return sum(math.dist(a, b) for a, b in itertools.pairwise(walk))
