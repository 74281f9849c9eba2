"""A small move of a fixture that puts its box in a clear bay or its screws in wood, and what that costs in light."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from core.ceiling.feeding import CeilingPoint, ceiling_points
from core.ceiling.joists import BESIDE, BITE, joist_normal, joist_note, place_to_joists, reach_of, zone_at
from core.light.field import Lighting
from core.plan import JoistZone, Plan
from core.plan.edits import moved

__all__ = ["BenchCost", "Nudge", "NudgeCosts", "costs_of", "light_cost", "nudges", "nudges_left"]

FARTHEST = 0.3048
"""A move longer than this is another layout, not a nudge [m]: 12 in."""
_CLEAR = BESIDE + 0.001


@dataclass(frozen=True, slots=True)
class Nudge:
    """A proposed move (dx, dy) [m] of one fixture, why, and the plan that it makes."""

    fixture: str
    dx: float
    dy: float
    distance: float
    gain: str
    plan: Plan


@dataclass(frozen=True, slots=True)
class BenchCost:
    """Average illuminance on one bench with all switches on, before and after a nudge [lx]."""

    bench: str
    before: float
    after: float


NudgeCosts = Mapping[tuple[str, str], tuple[BenchCost, ...]]
"""What each proposed move does to the benches, by fixture and gain."""


def nudges_left(plan: Plan) -> tuple[Nudge, ...]:
    """Return the moves of all fixtures whose boxes are not cut yet, in plan order."""
    cut = {entry.fixture for entry in plan.ceiling.as_built}
    return tuple(nudge for fixture in plan.fixtures if fixture.id not in cut for nudge in nudges(plan, fixture.id))


def costs_of(plan: Plan, before: Lighting, solve: Callable[[Plan], Lighting]) -> NudgeCosts:
    """Return what each move that is left does to the light on the benches, each by itself.

    ``before`` is the full light of the plan; ``solve`` gives that of another with the same room.
    """
    if not before.benches:
        return {}
    return {(n.fixture, n.gain): light_cost(before, solve(n.plan)) for n in nudges_left(plan)}


def nudges(plan: Plan, fixture: str) -> tuple[Nudge, ...]:
    """Return up to two moves square to the joists: box into a clear bay, most screws into wood; shortest first.

    Nothing is proposed where it is well already, or where no move up to 12 in helps.
    """
    point = next((p for p in ceiling_points(plan) if p.fixture.id == fixture), None)
    zone = None if point is None else zone_at(plan, (point.x, point.y))
    if point is None or zone is None:
        return ()
    note = joist_note(plan, point)
    found = []
    if note.lies != "between" and note.edge < reach_of(point) and point.fed_from is None:
        found.append(_shortest(plan, point, zone, _to_bay(point, zone), "box in a clear bay", _is_clear))
    if note.screws_in_wood < note.screws:
        shifts = list(_to_wood(point, zone))
        best = max((_after(plan, point, zone, s)[1] for s in shifts), default=0)
        if best > note.screws_in_wood:
            gain = f"{best} of {note.screws} screws in wood"
            found.append(_shortest(plan, point, zone, iter(shifts), gain, lambda after: after[1] == best))
    return tuple(sorted((n for n in found if n is not None), key=lambda n: n.distance))


def light_cost(before: Lighting, after: Lighting) -> tuple[BenchCost, ...]:
    """Return what a nudge does to the benches, all switches on; both lights are of the same benches."""
    costs = []
    old, new = (light.field(dict.fromkeys(light.groups, 1.0)).benches for light in (before, after))
    for bench, figures in old.items():
        if bench in new:
            costs.append(BenchCost(bench, figures.average, new[bench].average))
    return tuple(costs)


_After = tuple[str, int]


def _is_clear(after: _After) -> bool:
    return after[0] == "between"


def _to_bay(point: CeilingPoint, zone: JoistZone) -> Iterator[float]:
    """Give the shifts that bring the box just clear of its nearest joist, on either side."""
    off, _ = place_to_joists(zone, (point.x, point.y))
    reach = reach_of(point) + zone.joist_width / 2 + _CLEAR
    yield from (reach - off, -reach - off)


def _to_wood(point: CeilingPoint, zone: JoistZone) -> Iterator[float]:
    """Give the shifts that bring one of the screws to the middle of a joist, or just into it."""
    inside = zone.joist_width / 2 - min(BITE, zone.joist_width / 4) - 1e-6
    for screw in point.screws:
        off, _ = place_to_joists(zone, screw)
        for joist in (-zone.spacing, 0.0, zone.spacing):
            yield from (joist - off - inside, joist - off, joist - off + inside)


def _after(plan: Plan, point: CeilingPoint, zone: JoistZone, shift: float) -> _After:
    nx, ny = joist_normal(zone)
    there = moved(plan, (point.fixture.id,), nx * shift, ny * shift)
    note = joist_note(there, next(p for p in ceiling_points(there) if p.fixture.id == point.fixture.id))
    return note.lies, note.screws_in_wood


def _shortest(
    plan: Plan,
    point: CeilingPoint,
    zone: JoistZone,
    shifts: Iterator[float],
    gain: str,
    good: Callable[[_After], bool],
) -> Nudge | None:
    nx, ny = joist_normal(zone)
    for shift in sorted(shifts, key=abs):
        if abs(shift) > FARTHEST:
            return None
        if good(_after(plan, point, zone, shift)):
            there = moved(plan, (point.fixture.id,), nx * shift, ny * shift)
            return Nudge(point.fixture.id, nx * shift, ny * shift, abs(shift), gain, there)
    return None
