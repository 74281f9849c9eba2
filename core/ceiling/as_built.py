"""As built: where each box really is after cutting, and the plan redone for that.

What is entered are the distances from the two walls it was measured from. The fixture hangs on its box, so it goes
where the box went; light, findings and cable are then worked out for the plan that this makes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from core.ceiling.feeding import CeilingPoint, ceiling_points
from core.ceiling.reference import WallPairError, reference_of
from core.ceiling.sheet import CeilingSheet, sheet_as_far_as_known
from core.plan import Plan, Point
from core.plan.ceiling import AsBuilt
from core.plan.settle import settled

__all__ = ["Deviation", "as_built_plan", "deviations", "plan_as_hung", "taken_into_plan", "with_as_built"]


@dataclass(frozen=True, slots=True)
class Deviation:
    """One box that was cut: how far off it is along the tape from each wall, and in all [m]; and where it is."""

    mark: str
    fixture: str
    off_a: float
    off_b: float
    distance: float
    place: Point


def with_as_built(plan: Plan, entry: AsBuilt | None, fixture: str) -> Plan:
    """Enter where the box of a fixture is, in place of an older entry; None takes the entry back."""
    others = tuple(known for known in plan.ceiling.as_built if known.fixture != fixture)
    entries = others if entry is None else (*others, entry)
    return replace(plan, ceiling=replace(plan.ceiling, as_built=entries))


def deviations(sheet: CeilingSheet) -> tuple[Deviation, ...]:
    """Return every box that was cut against the sheet's mark, in the order of marking.

    ``off_a`` and ``off_b`` are along the sheet's own walls, whichever walls the entry was measured from.
    """
    found = []
    for row in sheet.rows:
        place = _place(sheet.plan, row.point, sheet.survey.outline)
        if place is not None:
            a, b = sheet.reference.distances(place)
            found.append(
                Deviation(
                    row.mark,
                    row.point.fixture.id,
                    a - row.from_a,
                    b - row.from_b,
                    math.dist(place, row.place),
                    place,
                )
            )
    return tuple(found)


def as_built_plan(sheet: CeilingSheet) -> Plan:
    """Return the plan with every fixture where its box was cut, for light, findings and cable."""
    shifts: dict[str, Point] = {}
    for row in sheet.rows:
        place = _place(sheet.plan, row.point, sheet.survey.outline)
        if place is not None:
            shifts[row.point.fixture.id] = (place[0] - row.point.x, place[1] - row.point.y)
    fixtures = tuple(
        replace(f, x=settled(f.x + shifts[f.id][0]), y=settled(f.y + shifts[f.id][1])) if f.id in shifts else f
        for f in sheet.plan.fixtures
    )
    return replace(sheet.plan, fixtures=fixtures) if shifts else sheet.plan


def plan_as_hung(plan: Plan) -> Plan:
    """Return the plan with every fixture where its box was cut; the plan itself where nothing was entered."""
    if not plan.ceiling.as_built:
        return plan
    try:
        return as_built_plan(sheet_as_far_as_known(plan))
    except WallPairError:
        return plan


def taken_into_plan(sheet: CeilingSheet) -> Plan:
    """Return the as-built plan without its entries: what was planned is given up for what is there."""
    plan = as_built_plan(sheet)
    known = {p.fixture.id for p in ceiling_points(plan)}
    left = tuple(entry for entry in plan.ceiling.as_built if entry.fixture not in known)
    return replace(plan, ceiling=replace(plan.ceiling, as_built=left))


def _place(plan: Plan, point: CeilingPoint, outline: tuple[Point, ...]) -> Point | None:
    """Return where a fixture's box was cut; None where nothing was entered or its walls are gone."""
    entry = next((e for e in plan.ceiling.as_built if e.fixture == point.fixture.id), None)
    if entry is None:
        return None
    try:
        reference = reference_of(outline, entry.wall_a, entry.wall_b)
    except WallPairError:
        return None
    return reference.point(entry.from_a, entry.from_b)
