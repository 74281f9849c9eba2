"""Where cables begin and end: the panel, switch boxes on walls, fixture boxes on the ceiling, leads left in the attic.

A place on a wall is brought to the nearest point of the nearest wall. Fixtures are fed where the ceiling sheet has
their holes (`core.ceiling.feeding`); a body that is wired through from its neighbour has no cable of its own, and
neither have bench lamps and others with a plug.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from core.ceiling.feeding import ceiling_points, feeding_of, on_plan
from core.plan.fixtures import Fixture
from core.plan.plan import Plan
from core.plan.room import Point, Room
from core.plan.wiring import Lead, Panel, SwitchBox

__all__ = [
    "Place",
    "PlaceKind",
    "feeders",
    "fixture_place",
    "has_own_compartment",
    "is_plugged_in",
    "lead_place",
    "nearest_wall",
    "panel_place",
    "switch_place",
]

PlaceKind = Literal["panel", "switch box", "fixture", "lead"]


@dataclass(frozen=True, slots=True)
class Place:
    """One end of a cable: plan point and height above the floor [m]; ``wall`` is None on the ceiling."""

    id: str
    kind: PlaceKind
    name: str
    x: float
    y: float
    z: float
    wall: int | None = None

    @property
    def point(self) -> Point:
        """The plan point."""
        return self.x, self.y


def nearest_wall(room: Room, x: float, y: float) -> tuple[int, Point]:
    """Return the wall nearest to a point, and the point of it that is nearest [m]."""
    feet = []
    for index in range(len(room.outline)):
        (ax, ay), (bx, by) = room.wall(index)
        squared = (bx - ax) ** 2 + (by - ay) ** 2
        along = 0.0 if squared == 0.0 else ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / squared
        along = min(1.0, max(0.0, along))
        foot = (ax + along * (bx - ax), ay + along * (by - ay))
        feet.append((math.dist(foot, (x, y)), index, foot))
    _, wall, foot = min(feet)
    return wall, foot


def is_plugged_in(plan: Plan, fixture: Fixture) -> bool:
    """Return whether a fixture has a plug: it then hangs on a receptacle, not on a cable of this plan."""
    return feeding_of(plan.model(fixture.model)).kind == "plug and cord"


def has_own_compartment(plan: Plan, fixture: Fixture) -> bool:
    """Return whether the cable ends in the fixture itself, so that no ceiling box is bought for it."""
    return feeding_of(plan.model(fixture.model)).kind in ("cable through knock-out", "cut-out")


def panel_place(plan: Plan, panel: Panel) -> Place:
    """Return where the cables leave the panel: its top, on the nearest wall."""
    wall, (x, y) = nearest_wall(plan.room, panel.x, panel.y)
    return Place("panel", "panel", panel.name or "Panel", x, y, min(panel.height, plan.room.height), wall)


def switch_place(plan: Plan, box: SwitchBox) -> Place:
    """Return where a switch box is: on the nearest wall, at its own height."""
    wall, (x, y) = nearest_wall(plan.room, box.x, box.y)
    name = box.name or f"Switch box {' '.join(box.groups)}"
    return Place(box.id, "switch box", name, x, y, min(box.height, plan.room.height), wall)


def fixture_place(plan: Plan, fixture: Fixture) -> Place:
    """Return where a fixture is fed, on the ceiling."""
    feeding = feeding_of(plan.model(fixture.model))
    x, y = on_plan(fixture, (feeding.x, feeding.y))
    return Place(fixture.id, "fixture", fixture.name or fixture.id, x, y, plan.room.height)


def feeders(plan: Plan) -> dict[str, str]:
    """Return for each fixture the one whose cable brings its power: itself, or the first of its row."""
    before = {point.fixture.id: point.fed_from for point in ceiling_points(plan)}
    heads = {}
    for fixture in plan.fixtures:
        at = fixture.id
        while (source := before.get(at)) is not None:
            at = source
        heads[fixture.id] = at
    return heads


def lead_place(plan: Plan, lead: Lead) -> Place:
    """Return where a lead comes out of the ceiling."""
    return Place(lead.id, "lead", lead.name or f"Lead {lead.group}", lead.x, lead.y, plan.room.height)
