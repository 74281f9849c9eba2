"""The list of findings of a plan: each bench, machine, view, surface and camera at one switch setting.

Limits that no standard gives are marked 'common practice, no source' where they are used. Figures are of initial light
unless the wording has a light-loss factor.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain

from core.checks.about_colour import colour_findings
from core.checks.about_eyes import camera_findings, eye_findings
from core.checks.about_light import light_findings
from core.checks.about_shadow import shadow_findings
from core.checks.finding import Finding, Severity, Wording, in_order
from core.checks.study import Study
from core.plan import Plan
from core.report.combinations import reported_combinations
from core.tables import csv_text

__all__ = ["COLUMNS", "findings", "findings_csv", "findings_of_all", "named_settings"]

COLUMNS = (
    "severity",
    "combination",
    "where",
    "what",
    "figure",
    "unit",
    "target",
    "source",
    "cause",
    "remedy",
)
_UNNAMED = re.compile(r"(All off|\w( and \w)+)( \(\d+\))?")


def findings(study: Study, combination: str, levels: Mapping[str, float], factor: float = 1.0) -> list[Finding]:
    """Return the findings at one switch setting, most important first.

    Parameters
    ----------
    combination
        What the setting is called.
    levels
        Level by group letter; a group that is not listed is off.
    factor
        What turns initial into maintained light; 1 for initial.
    """
    wording = Wording(study.plan, combination, factor)
    nothing = _nothing_on(study.plan, wording, levels)
    if nothing is not None:
        return [nothing]
    shares = study.lighting.shares(levels)
    parts = (light_findings, shadow_findings, eye_findings, colour_findings, camera_findings)
    return in_order(list(chain.from_iterable(part(study, shares, wording) for part in parts)))


def findings_of_all(study: Study, settings: Sequence[tuple[str, Mapping[str, float]]] | None = None) -> list[Finding]:
    """Return the findings of several settings, each list in order, one after the other; by default the named ones."""
    chosen = named_settings(study.plan) if settings is None else settings
    return [finding for name, levels in chosen for finding in findings(study, name, levels)]


def named_settings(plan: Plan) -> list[tuple[str, Mapping[str, float]]]:
    """Return the settings that have a name, as the report calls them: all on, each group alone, every kept one."""
    kept = {combination.name for combination in plan.combinations}
    return [
        (setting.name, setting.levels)
        for setting in reported_combinations(plan)
        if setting.name in kept or not _UNNAMED.fullmatch(setting.name)
    ]


def findings_csv(found: Sequence[Finding]) -> str:
    """Return findings as the text of `findings.csv`."""
    return csv_text(COLUMNS, rows(found))


def _nothing_on(plan: Plan, wording: Wording, levels: Mapping[str, float]) -> Finding | None:
    if any(levels.get(fixture.group, 0.0) > 0.0 for fixture in plan.fixtures):
        return None
    if plan.fixtures:
        weight, title, cause = Severity.MIND, "All switches are off", "No fixture is on at this setting."
        do = "Turn a switch on."
    else:
        weight, title, cause = Severity.ACT, "No fixture hangs here yet", "There is no fixture on the plan."
        do = "Put a fixture on the plan, or let the program suggest a layout."
    return Finding(weight, wording.combination, "Room", "light", 0.0, wording.light_unit, "", "", cause, do, title)


def rows(found: Sequence[Finding]) -> Iterator[tuple[str, ...]]:
    """Write findings as the rows of `findings.csv`."""
    for finding in found:
        figure = "" if finding.figure is None else f"{finding.figure:g}"
        yield (
            finding.severity.word,
            finding.combination,
            finding.where,
            finding.what,
            figure,
            finding.unit,
            finding.target,
            finding.source,
            finding.cause,
            finding.remedy,
        )
