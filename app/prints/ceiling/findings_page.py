"""What is in the way, what was cut elsewhere than planned, and any further findings."""

from __future__ import annotations

from collections.abc import Sequence

from app.prints.ceiling.light_page import SheetLight
from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import CeilingSheet, Nudge, as_built_plan, conflicts, deviations, nudges_left
from core.ceiling.feeding import CeilingPoint
from core.checks.finding import Finding, Severity
from core.units import LUX_PER_FC, UnitSystem, show_length

__all__ = ["findings_pages"]

_CONFLICTS = (
    Column("", 1.0, strong=True),
    Column("Mark", 0.7, strong=True),
    Column("In the way", 1.8),
    Column("Clearance", 1.0, "right", True),
    Column("Wanted", 0.9, "right"),
    Column("What, and what to do", 4.2),
    Column("Source", 1.6),
)
_CUT = (
    Column("Mark", 0.7, strong=True),
    Column("Off along A’s tape", 1.5, "right"),
    Column("Off along B’s tape", 1.5, "right"),
    Column("Distance from the mark", 1.6, "right", True),
)
_LIGHT = (Column("Setting", 1.4, strong=True), Column("Finding", 3.0), Column("What to do", 5.0))
_MOVES = (
    Column("Mark", 0.6, strong=True),
    Column("Move", 1.9),
    Column("Then", 2.0),
    Column("Light on the benches, all on: before → after", 4.6),
)
_TOLD = {UnitSystem.US: 0.1 * LUX_PER_FC, UnitSystem.METRIC: 1.0}
"""Least change of a bench's light that is told [lx]."""


def findings_pages(sheet: CeilingSheet, paper: Paper, light: SheetLight | None = None) -> list[Page]:
    """Return the pages of conflicts, deviations and nudges, and with ``light`` its findings and what nudges cost."""
    width = frame_of(paper).width
    parts: list[Part] = [heading("In the way", width)]
    hung = as_built_plan(sheet)
    found = conflicts(hung)
    if found:
        marks = {row.point.fixture.id: row.mark for row in sheet.rows}
        rows = [
            [
                c.severity,
                marks.get(c.fixture, "bench"),
                c.what,
                c.figure(sheet.system),
                show_length(c.wanted, sheet.system) if c.wanted else "clear",
                f"{c.cause} {c.remedy}",
                c.source,
            ]
            for c in found
        ]
        parts += table(_CONFLICTS, rows, width)
    else:
        parts.append(paragraph("No fixture body is in the way of anything that is drawn.", width))
    parts.append(
        paragraph("Only what is drawn can be found: pipes, cables and braces above the ceiling are not.", width)
    )
    parts += _cut(sheet, width)
    parts += _moves(sheet, nudges_left(hung), light, width)
    if light is not None:
        parts += _of_light(sheet, light.findings, width)
    return flow("Conflicts and findings", parts, paper)


def _of_light(sheet: CeilingSheet, found: Sequence[Finding], width: float) -> list[Part]:
    """List what is to be done about the light with all on and at kept settings; the rest is for the findings' own list.

    One switch alone is not meant to light the room, so it has nothing to do here unless it was kept as a setting.
    """
    meant = {"All on", *(kept.name for kept in sheet.plan.combinations)}
    settings: dict[tuple[str, str], list[str]] = {}
    for f in found:
        if f.combination in meant and f.severity is Severity.ACT:
            settings.setdefault((f.title, f.remedy), []).append(f.combination)
    if not settings:
        return []
    rows = [[", ".join(names), title, remedy] for (title, remedy), names in settings.items()]
    return [heading("The light: to do", width), *table(_LIGHT, rows, width)]


def _cut(sheet: CeilingSheet, width: float) -> list[Part]:
    off = deviations(sheet)
    if not off:
        return []
    rows = [
        [d.mark, _signed(sheet, d.off_a), _signed(sheet, d.off_b), show_length(d.distance, sheet.system)] for d in off
    ]
    return [heading("As built: cut elsewhere than marked", width), *table(_CUT, rows, width)]


def _moves(sheet: CeilingSheet, left: Sequence[Nudge], light: SheetLight | None, width: float) -> list[Part]:
    rows = []
    for row in sheet.rows:
        for nudge in left:
            if nudge.fixture == row.point.fixture.id:
                rows.append([row.mark, move_text(sheet, row.point, nudge), nudge.gain, _cost(sheet, light, nudge)])
    if not rows:
        return []
    words = "Small moves that the framing would like, each by itself. Choose before anything is cut, then print again."
    return [heading("Joists: moves worth a thought", width), paragraph(words, width), *table(_MOVES, rows, width)]


def _cost(sheet: CeilingSheet, light: SheetLight | None, nudge: Nudge) -> str:
    """Return what a move does to the benches: those whose light it changes, before and after."""
    costs = None if light is None else light.costs.get((nudge.fixture, nudge.gain))
    if costs is None:
        return "no bench" if light is not None and not light.lighting.benches else "not worked out"
    names = {item.id: item.name for item in sheet.plan.furniture}
    changed = sorted(
        (c for c in costs if abs(c.after - c.before) >= _TOLD[sheet.system]), key=lambda c: c.after - c.before
    )
    if not changed:
        return f"no bench changes by {'0.1 fc' if sheet.system is UnitSystem.US else '1 lx'}"
    us = sheet.system is UnitSystem.US
    said = [
        f"{names.get(c.bench, c.bench)} {c.before / LUX_PER_FC:.1f} → {c.after / LUX_PER_FC:.1f} fc"
        if us
        else f"{names.get(c.bench, c.bench)} {c.before:.0f} → {c.after:.0f} lx"
        for c in changed
    ]
    return ";  ".join(said)


def move_text(sheet: CeilingSheet, point: CeilingPoint, nudge: Nudge) -> str:
    """Return a move as two readings of the tape: `A: 1 1/2" less; B: as it is`."""
    here = sheet.reference.distances((point.x, point.y))
    there = sheet.reference.distances((point.x + nudge.dx, point.y + nudge.dy))
    said = []
    for letter, one, other in zip("AB", here, there, strict=True):
        if abs(other - one) >= sheet.step / 2:
            said.append(f"{letter}: {show_length(abs(other - one), sheet.system)} {'more' if other > one else 'less'}")
    return "; ".join(said)


def _signed(sheet: CeilingSheet, length: float) -> str:
    if abs(length) < sheet.step / 2:
        return "as marked"
    return f"{show_length(abs(length), sheet.system)} {'too far' if length > 0 else 'too near'}"
