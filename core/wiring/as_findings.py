"""Findings about the wiring in the form of all findings, so that they stand in one list with those about the light."""

from __future__ import annotations

from core.checks.finding import Finding, Severity
from core.plan.plan import Plan
from core.plan.room import Point
from core.plan.wiring import Wiring
from core.wiring.findings import WiringFinding
from core.wiring.wired import Wired, wired

__all__ = ["wiring_findings"]

_SEVERITIES = {"danger": Severity.ACT, "fault": Severity.ACT, "note": Severity.MIND}
_WEIGHTS = {"danger": 500.0, "fault": 50.0, "note": 0.0}
ANY_SETTING = "any"


def wiring_findings(plan: Plan) -> list[Finding]:
    """Return what is not right with the wiring of a plan, worst first.

    What is assumed is told only once the user has begun to decide about the wiring.
    """
    done = wired(plan)
    begun = plan.wiring != Wiring()
    return [
        _finding(plan, done, found) for found in done.findings if begun or found.source != "assumption of the program"
    ]


def _finding(plan: Plan, done: Wired, found: WiringFinding) -> Finding:
    return Finding(
        severity=_SEVERITIES[found.severity],
        combination=ANY_SETTING,
        where=found.where,
        what=found.what[:1].lower() + found.what[1:],
        figure=None if found.figure is None else round(found.figure, 2),
        unit=found.unit,
        target="" if found.target is None else f"at most {found.target:g}",
        source=found.source,
        cause=found.cause,
        remedy=found.remedy,
        title=f"{found.where}: {found.what[:1].lower()}{found.what[1:]}",
        place=_place(plan, done, found),
        about=found.ids,
        weight=_WEIGHTS[found.severity],
    )


def _place(plan: Plan, done: Wired, found: WiringFinding) -> Point | None:
    """Return where on the plan a finding is: the first of its things that has a place."""
    things = {fixture.id: (fixture.x, fixture.y) for fixture in plan.fixtures}
    things |= {item.id: (item.x, item.y) for item in plan.furniture}
    things |= {box.id: (box.x, box.y) for box in done.wiring.switch_boxes}
    return next((things[identity] for identity in found.ids if identity in things), None)
