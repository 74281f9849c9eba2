"""The box table: every centre from the two walls, in the order of marking, with the distances that check it."""

from __future__ import annotations

from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import BoxRow, CeilingSheet, as_built_plan, in_the_way
from core.units import UnitSystem

__all__ = ["box_pages"]

_COLUMNS = (
    Column("Mark", 0.75, strong=True),
    Column("Fixture, what is cut", 2.5),
    Column("From A", 1.4, "right", True),
    Column("From B", 1.4, "right", True),
    Column("Check: to next", 1.85, "right"),
    Column("Check: across", 1.85, "right"),
    Column("Joists; box", 3.0),
    Column("Body", 0.95),
    Column("Done", 0.85, "centre"),
)
_ON_ONE_LINE = 14


def box_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the pages of the box table."""
    width = frame_of(paper).width
    step = "1/16 in" if sheet.system is UnitSystem.US else "1 mm"
    words = (
        f"A = {sheet.reference.names[0]}, B = {sheet.reference.names[1]}; they meet at"
        f" {sheet.reference.angle_deg:.1f}°. Every distance is square off the wall, from its finished face: hook the"
        f" tape there each time, never at the mark before (no errors add up). Rounded to {step}. On the floor the"
        " distances are the same; carry the marks up with a plumb laser."
    )
    parts: list[Part] = [paragraph(words, width)]
    if sheet.remark:
        parts.append(paragraph(f"Note: {sheet.remark}", width))
    if not sheet.rows:
        return flow("Box centres", [*parts, heading("No fixture hangs on the ceiling of this plan.", width)], paper)
    check = (
        "Check: measure to the next mark and across to the mark named before you cut. Off by more than"
        f" {'1/8 in' if sheet.system is UnitSystem.US else '3 mm'}: one of the two marks is wrong; measure both again."
    )
    parts.append(paragraph(check, width))
    blocked = in_the_way(as_built_plan(sheet))
    parts += table(_COLUMNS, [_cells(sheet, row, blocked.get(row.point.fixture.id, ())) for row in sheet.rows], width)
    return flow("Box centres", parts, paper)


def _cells(sheet: CeilingSheet, row: BoxRow, blocked: tuple[str, ...]) -> list[str]:
    note = f"{row.joist.text(sheet.system)}; {row.joist.box}"
    if row.joist.lies != "unknown" and row.joist.screws:
        note += f"; {row.joist.screws_in_wood} of {row.joist.screws} screws in wood"
    what = f"{row.point.fixture.name or row.point.model.name}: {row.point.what}"
    if row.point.fed_from is not None:
        fed = next((r.mark for r in sheet.rows if r.point.fixture.id == row.point.fed_from), row.point.fed_from)
        what += f", fed from {fed}"
    if blocked:
        what += f". DO NOT CUT: meets {' and '.join(blocked)}"
    return [
        row.mark,
        what,
        sheet.tape(row.from_a),
        sheet.tape(row.from_b),
        _to(sheet, row.next_mark, row.to_next),
        _to(sheet, row.partner, row.to_partner),
        note,
        row.axis,
        "☐",
    ]


def _to(sheet: CeilingSheet, mark: str | None, distance: float) -> str:
    """Return mark and distance; a long distance on a line of its own, because one that is broken is misread."""
    if mark is None:
        return "–"
    words = sheet.tape(distance)
    return f"{mark}: {words}" if len(mark) + len(words) <= _ON_ONE_LINE else f"{mark}:\n{words}"
