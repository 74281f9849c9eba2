"""Boxes and joists: what a box meets in the ceiling, and what kind of box that wants.

Joists of a zone run in its direction at equal spacing; distances are taken square to them. A round ceiling box is 4 in
across, a cable hole with its clamp 1 in. Which box goes where, by the ceiling's access, is common practice without a
source: side-bracket and bar-hanger boxes need open framing or the attic, an old-work box or an expanding brace goes in
from below, a 1/2 in pancake box sits on the face of a joist (little volume: count the conductors). A box must be held
by the framing where the fixture is heavy (50 lb, NEC 314.27, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import shapely

from core.ceiling.feeding import CeilingPoint
from core.plan import JoistZone, Plan, Point
from core.units import INCH, UnitSystem, show_length

__all__ = [
    "BOX_RADIUS",
    "JoistNote",
    "hits_joist",
    "joist_normal",
    "joist_note",
    "place_to_joists",
    "reach_of",
    "zone_at",
]

BOX_RADIUS = 2 * INCH
"""Half a 4 in round or octagon box [m]."""
HOLE_RADIUS = INCH / 2
"""Half of what a cable hole with its clamp takes [m]."""
BESIDE = 0.75 * INCH
"""A box this near to a joist's face, or closer, is nailed to it [m]."""
BITE = 0.25 * INCH
"""A screw this far inside a joist's edge holds [m]."""
HEAVY = 22.7
"""50 lb [kg]."""

Lies = Literal["on", "beside", "between", "unknown"]


@dataclass(frozen=True, slots=True)
class JoistNote:
    """How one box lies to the joists.

    ``lies`` is where its middle is: over a joist, beside one (the body of the box meets its face), in the bay between
    two, or unknown where no joists are drawn. ``edge`` is the distance of the middle from the nearest edge of a joist
    [m], negative over the wood. ``screws_in_wood`` counts the mounting screws that bite.
    """

    lies: Lies
    edge: float
    box: str
    screws_in_wood: int
    screws: int

    def text(self, system: UnitSystem) -> str:
        """Return the note for the box table."""
        if self.lies == "unknown":
            return "joists not drawn"
        edge = show_length(abs(self.edge), system)
        if self.lies == "on":
            return f"on a joist, {edge} inside its edge"
        if self.lies == "beside":
            return f"beside a joist, {edge} to its edge"
        return f"between joists, {edge} to the nearest edge"


def zone_at(plan: Plan, point: Point) -> JoistZone | None:
    """Return the joist zone over a point: the last drawn one that covers it, else one for the whole room."""
    for zone in reversed(plan.room.joists):
        if zone.outline and shapely.Polygon(zone.outline).covers(shapely.Point(point)):
            return zone
    return next((zone for zone in plan.room.joists if not zone.outline), None)


def joist_normal(zone: JoistZone) -> Point:
    """Return the direction square to the joists in which their offset counts: to the right of the sheet, or up it."""
    turn = math.radians(zone.direction_deg)
    nx, ny = -math.sin(turn), math.cos(turn)
    forward = nx > 1e-9 or (abs(nx) <= 1e-9 and ny > 0.0)
    return (nx, ny) if forward else (-nx, -ny)


def place_to_joists(zone: JoistZone, point: Point) -> tuple[float, float]:
    """Return how far a point lies off the nearest joist's centre line, with sign, and from its edge [m].

    The first is positive in the direction of `joist_normal`; the second is negative over the wood.
    """
    nx, ny = joist_normal(zone)
    across = point[0] * nx + point[1] * ny - zone.offset
    off = across - round(across / zone.spacing) * zone.spacing
    return off, abs(off) - zone.joist_width / 2


def reach_of(point: CeilingPoint) -> float:
    """Return half the width of what is cut for a fixture [m]."""
    if point.feeding.hole:
        return point.feeding.hole / 2
    return HOLE_RADIUS if point.feeding.kind == "cable through knock-out" else BOX_RADIUS


def hits_joist(plan: Plan, point: Point) -> bool:
    """Whether a screw at this point bites into a joist."""
    zone = zone_at(plan, point)
    return zone is not None and place_to_joists(zone, point)[1] <= -min(BITE, zone.joist_width / 4)


def joist_note(plan: Plan, point: CeilingPoint) -> JoistNote:
    """Return how the box of a fixture lies to the joists, and what it wants."""
    bites = sum(hits_joist(plan, screw) for screw in point.screws)
    zone = zone_at(plan, (point.x, point.y))
    if zone is None:
        return JoistNote("unknown", 0.0, _box(plan, point, "unknown"), 0, len(point.screws))
    edge = place_to_joists(zone, (point.x, point.y))[1]
    reach = reach_of(point)
    lies: Lies = "on" if edge < 0.0 else "beside" if edge < reach + BESIDE else "between"
    return JoistNote(lies, edge, _box(plan, point, lies), bites, len(point.screws))


def _box(plan: Plan, point: CeilingPoint, lies: Lies) -> str:
    access = plan.ceiling.access
    if point.fed_from is not None:
        return "none: wired through"
    if point.feeding.kind == "plug and cord":
        return "receptacle within reach of the cord"
    if point.feeding.kind == "cut-out":
        return _CUT_OUT[lies]
    if point.feeding.kind == "cable through knock-out":
        return _KNOCK_OUT[lies]
    if lies == "unknown":
        return "depends on the framing: draw the joists"
    box = _BOXES[access, lies]
    heavy = point.feeding.weight > HEAVY and "brace" not in box and lies == "between"
    return f"{box}; heavy: brace between joists" if heavy else box


_CUT_OUT = {
    "on": "housing does not fit: joist in the way",
    "beside": "check the housing's width: joist close",
    "between": "remodel housing, box on the housing",
    "unknown": "housing; look for joists first",
}
_KNOCK_OUT = {
    "on": "hole hits the joist: move it or bore",
    "beside": "cable clamp in the knock-out",
    "between": "cable clamp in the knock-out",
    "unknown": "cable clamp; look for joists first",
}
_BOXES = {
    ("open framing", "on"): "1/2 in pancake on the joist",
    ("open framing", "beside"): "side-bracket box",
    ("open framing", "between"): "bar-hanger box",
    ("closed", "on"): "1/2 in pancake on the joist",
    ("closed", "beside"): "side-screw old-work box",
    ("closed", "between"): "expanding brace with box",
    ("from the attic", "on"): "1/2 in pancake on the joist",
    ("from the attic", "beside"): "side-bracket box from above",
    ("from the attic", "between"): "bar-hanger box from above",
}
