"""How each fixture is fed and held, and where those points lie on the ceiling.

A data sheet says it (`core.plan.ceiling.Feeding`); where the entry is silent the usual way for its kind is taken and
marked as assumed: feed in the middle of the back, two screws or hooks 3 in from the ends of a long body, four at the
corners of a wide one, weights of invented typical bodies (all common practice, no source). Bodies that stand end to
end, of one model that is listed for it, are wired through: only the first of the row has a hole in the ceiling.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.plan import Fixture, Model, Plan, Point
from core.plan.ceiling import Feeding

__all__ = ["LINK_GAP", "CeilingPoint", "ceiling_points", "feeding_of", "hangs_on_ceiling", "on_plan"]

LINK_GAP = 0.05
"""Widest gap between two bodies that are wired through [m]: about 2 in, what a link connector spans."""
_FROM_END = 0.0762
_WIDE = 0.25
_IN_LINE = 0.01
_KG_PER_M2 = {"strip": 15.0, "wrap": 12.0, "panel": 8.0, "high bay": 45.0, "downlight": 20.0, "task lamp": 20.0}


@dataclass(frozen=True, slots=True)
class CeilingPoint:
    """One fixture on the ceiling: what is cut or marked for it, where [m], and where its screws go.

    ``fed_from`` is the fixture from which this one is wired through; None where it has a hole of its own.
    ``is_assumed`` tells that the data sheet does not say how it is fed.
    """

    fixture: Fixture
    model: Model
    feeding: Feeding
    what: str
    x: float
    y: float
    screws: tuple[Point, ...]
    is_assumed: bool
    fed_from: str | None = None


def hangs_on_ceiling(plan: Plan, fixture: Fixture) -> bool:
    """Whether a fixture has anything to do with the ceiling; a task lamp on a bench has not."""
    return plan.model(fixture.model).mounting != "bench" and fixture.height is None


def feeding_of(model: Model) -> Feeding:
    """Return how a model is fed and held: as its entry says, else as usual for its kind."""
    if model.feeding is not None:
        return model.feeding
    weight = round(_KG_PER_M2[model.kind] * model.length * model.width + 0.5, 1)
    if model.mounting == "bench":
        return Feeding("plug and cord", weight=weight)
    if model.mounting == "recessed":
        # The housing clips onto the ceiling board; the rim covers about 1/2 in all round.
        return Feeding("cut-out", hole=max(min(model.length, model.width) - 0.0254, 0.0254), weight=weight)
    if model.mounting == "suspended":
        hooks = ((0.0, 0.0),) if model.length < _WIDE * 2 else _along_body(model)
        return Feeding("hook and box", screws=hooks, weight=weight)
    if model.kind == "strip":
        return Feeding("cable through knock-out", screws=_along_body(model), weight=weight)
    screws = _at_corners(model) if model.width > _WIDE else _along_body(model)
    return Feeding("ceiling box", screws=screws, weight=weight)


def on_plan(fixture: Fixture, local: Point) -> Point:
    """Return where a point of the body lies on the plan [m]."""
    c, s = math.cos(math.radians(fixture.rotation_deg)), math.sin(math.radians(fixture.rotation_deg))
    return fixture.x + c * local[0] - s * local[1], fixture.y + s * local[0] + c * local[1]


def ceiling_points(plan: Plan) -> tuple[CeilingPoint, ...]:
    """Return every fixture that hangs on the ceiling, in plan order."""
    hung = [fixture for fixture in plan.fixtures if hangs_on_ceiling(plan, fixture)]
    sources = _links(plan, hung)
    return tuple(_point(plan, fixture, sources.get(fixture.id)) for fixture in hung)


def _point(plan: Plan, fixture: Fixture, fed_from: str | None) -> CeilingPoint:
    model = plan.model(fixture.model)
    feeding = feeding_of(model)
    screws = tuple(on_plan(fixture, screw) for screw in feeding.screws)
    x, y = on_plan(fixture, (feeding.x, feeding.y))
    what = _WORDS[feeding.kind]
    if fed_from is not None:
        what, (x, y) = "through-wired, no hole (middle of body)", (fixture.x, fixture.y)
    return CeilingPoint(fixture, model, feeding, what, x, y, screws, model.feeding is None, fed_from)


_WORDS = {
    "ceiling box": "ceiling box",
    "cable through knock-out": "cable hole (knock-out)",
    "cut-out": "cut-out",
    "hook and box": "ceiling box and hook",
    "plug and cord": "hook (plug and cord)",
}


def _along_body(model: Model) -> tuple[Point, ...]:
    reach = max(model.length / 2 - _FROM_END, model.length / 4)
    return ((-reach, 0.0), (reach, 0.0))


def _at_corners(model: Model) -> tuple[Point, ...]:
    x = max(model.length / 2 - _FROM_END, model.length / 4)
    y = max(model.width / 2 - _FROM_END, model.width / 4)
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def _links(plan: Plan, hung: Sequence[Fixture]) -> dict[str, str]:
    """Return for each through-wired fixture the neighbour that feeds it."""
    sources: dict[str, str] = {}
    lengths: dict[str, int] = {}
    for fixture in sorted(hung, key=lambda f: _place_in_row(f)):
        most = feeding_of(plan.model(fixture.model)).linked
        before = next((other for other in hung if most > 1 and _is_next(plan, other, fixture)), None)
        count = lengths.get(before.id, 1) + 1 if before is not None else 1
        if before is None or count > most:
            lengths[fixture.id] = 1
            continue
        lengths[fixture.id] = count
        sources[fixture.id] = before.id
    return sources


def _axis(fixture: Fixture) -> Point:
    turn = math.radians(round(fixture.rotation_deg % 180.0, 6))
    return math.cos(turn), math.sin(turn)


def _place_in_row(fixture: Fixture) -> float:
    ux, uy = _axis(fixture)
    return fixture.x * ux + fixture.y * uy


def _is_next(plan: Plan, before: Fixture, fixture: Fixture) -> bool:
    """Whether ``fixture`` follows ``before`` end to end in one row, on one switch and at one height."""
    same = (before.model, before.group, before.drop) == (fixture.model, fixture.group, fixture.drop)
    if not same or before.id == fixture.id:
        return False
    (ux, uy), (vx, vy) = _axis(before), _axis(fixture)
    along = (fixture.x - before.x) * ux + (fixture.y - before.y) * uy
    across = (fixture.x - before.x) * uy - (fixture.y - before.y) * ux
    gap = along - plan.model(fixture.model).length
    return abs(ux * vy - uy * vx) < _IN_LINE and abs(across) < _IN_LINE and -_IN_LINE <= gap <= LINK_GAP
