"""The box table as a file: one line for each fixture on the ceiling, in the order of marking."""

from __future__ import annotations

from core.ceiling.as_built import as_built_plan
from core.ceiling.conflicts import in_the_way
from core.ceiling.reference import WallPairError
from core.ceiling.sheet import BoxRow, CeilingSheet, sheet_as_far_as_known
from core.plan import Plan
from core.tables import Cell, csv_text, figure
from core.units import INCH

__all__ = ["COLUMNS", "box_centres_text", "box_table_of"]

COLUMNS = (
    "fixture",
    "point",
    "wall_a",
    "from_a_in",
    "from_a_tape",
    "wall_b",
    "from_b_in",
    "from_b_tape",
    "joist",
    "box",
    "note",
    "mark",
    "model",
    "x_m",
    "y_m",
    "next",
    "to_next_in",
    "partner",
    "to_partner_in",
)


def box_centres_text(sheet: CeilingSheet) -> str:
    """Return the table as CSV; lengths in decimal inches and as a tape reads them, places on the plan in metres."""
    blocked = in_the_way(as_built_plan(sheet))
    return csv_text(COLUMNS, (_cells(sheet, row, blocked.get(row.point.fixture.id, ())) for row in sheet.rows))


def box_table_of(plan: Plan) -> str:
    """Return the table of a plan; only its head where no two walls can be measured from."""
    try:
        return box_centres_text(sheet_as_far_as_known(plan))
    except WallPairError:
        return csv_text(COLUMNS, ())


def _cells(sheet: CeilingSheet, row: BoxRow, blocked: tuple[str, ...]) -> tuple[Cell, ...]:
    point = row.point
    return (
        point.fixture.id,
        point.what,
        sheet.reference.names[0],
        _inches(row.from_a),
        sheet.tape(row.from_a),
        sheet.reference.names[1],
        _inches(row.from_b),
        sheet.tape(row.from_b),
        row.joist.text(sheet.system),
        row.joist.box,
        _note(row, blocked),
        row.mark,
        point.model.name,
        figure(row.place[0], 6),
        figure(row.place[1], 6),
        row.next_mark or "",
        _inches(row.to_next) if row.next_mark else "",
        row.partner or "",
        _inches(row.to_partner) if row.partner else "",
    )


def _note(row: BoxRow, blocked: tuple[str, ...]) -> str:
    parts = [f"CONFLICT with {' and '.join(blocked)}: do not cut"] if blocked else []
    parts.append(row.axis)
    if row.point.screws:
        parts.append(f"{row.joist.screws_in_wood} of {row.joist.screws} screws in wood")
    if row.point.is_assumed:
        parts.append("feed assumed, check the data sheet")
    if row.point.fed_from is not None:
        parts.append(f"fed from {row.point.fed_from}")
    return "; ".join(parts)


def _inches(length: float) -> float:
    return figure(length / INCH, 4)
