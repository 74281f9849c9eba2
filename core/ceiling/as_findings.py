"""Conflicts at the ceiling as findings, so that they stand in the same list as those about the light."""

from __future__ import annotations

from core.ceiling.conflicts import Conflict, conflicts
from core.checks.finding import Finding, Severity
from core.plan import Plan
from core.units import INCH

__all__ = ["ANY_SETTING", "ceiling_findings"]

ANY_SETTING = "any"
"""What stands for the switch setting of a finding that does not depend on one."""
_SEVERITIES = {"conflict": Severity.ACT, "tight": Severity.MIND, "notice": Severity.MIND}


def ceiling_findings(plan: Plan) -> list[Finding]:
    """Return the conflicts of a plan's fixtures as findings, worst first."""
    return [_finding(plan, conflict) for conflict in conflicts(plan)]


def _finding(plan: Plan, conflict: Conflict) -> Finding:
    fixture = plan.fixture(conflict.fixture)
    unit, size, digits = ("mm", 0.001, 0) if plan.units == "metric" else ("in", INCH, 2)
    figure = round(conflict.clearance / size, digits) + 0.0
    wanted = f"at least {conflict.wanted / size:.{digits}f}".removesuffix(".00")
    named = fixture.name or f"{plan.model(fixture.model).name} ({fixture.id}, switch {fixture.group})"
    return Finding(
        severity=_SEVERITIES[conflict.severity],
        combination=ANY_SETTING,
        where=named,
        what=f"clearance to {conflict.what}",
        figure=figure,
        unit=unit,
        target=wanted,
        source=conflict.source,
        cause=conflict.cause,
        remedy=conflict.remedy,
        title=conflict.cause.removesuffix("."),
        place=(fixture.x, fixture.y),
        about=(conflict.fixture, conflict.other),
        # Something that is in the way of a door or a head comes before any light; a mere notice after it.
        weight={"conflict": 1000.0, "tight": 1.0, "notice": 0.0}[conflict.severity] - conflict.clearance,
    )
