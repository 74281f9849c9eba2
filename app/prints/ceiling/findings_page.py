"""What is in the way, what was cut elsewhere than planned, and any further findings."""

from __future__ import annotations

from collections.abc import Sequence

from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import CeilingSheet, Nudge, conflicts, deviations, nudges
from core.ceiling.feeding import CeilingPoint
from core.checks.finding import Finding, Severity
from core.units import show_length

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
    Column("Mark", 0.7, strong=True),
    Column("Joists now", 3.0),
    Column("Move", 2.4),
    Column("Then", 2.4),
)


def findings_pages(sheet: CeilingSheet, paper: Paper, others: Sequence[Finding] = ()) -> list[Page]:
    """Return the pages of conflicts, deviations and nudges; ``others`` are those of the light."""
    width = frame_of(paper).width
    parts: list[Part] = [heading("In the way", width)]
    found = conflicts(sheet.plan)
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
    parts += _moves(sheet, width)
    parts += _of_light(sheet, others, width)
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


def _moves(sheet: CeilingSheet, width: float) -> list[Part]:
    rows = []
    for row in sheet.rows:
        for nudge in nudges(sheet.plan, row.point.fixture.id):
            rows.append([row.mark, row.joist.text(sheet.system), move_text(sheet, row.point, nudge), nudge.gain])
    if not rows:
        return []
    words = "Small moves that the framing would like, each by itself; the light on the benches is shown in the program."
    return [heading("Joists: moves worth a thought", width), paragraph(words, width), *table(_MOVES, rows, width)]


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
