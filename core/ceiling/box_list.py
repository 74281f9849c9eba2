"""The box table as a file: one line for each fixture on the ceiling, in the order of marking."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from core.ceiling.sheet import BoxRow, CeilingSheet
from core.plan.safe_write import write_safely
from core.units import INCH

__all__ = ["COLUMNS", "box_centres_text", "write_box_centres"]

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
_RISKY = ("=", "+", "-", "@", "\t", "\r")


def box_centres_text(sheet: CeilingSheet) -> str:
    """Return the table as CSV; lengths in decimal inches and as a tape reads them, places on the plan in metres."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in sheet.rows:
        writer.writerow(_cells(sheet, row))
    return out.getvalue()


def write_box_centres(sheet: CeilingSheet, path: Path) -> None:
    """Write the table; OSError if it cannot be written."""
    write_safely(path, box_centres_text(sheet).encode("utf-8"))


def _cells(sheet: CeilingSheet, row: BoxRow) -> list[str]:
    point = row.point
    texts = {
        "fixture": point.fixture.id,
        "point": point.what,
        "wall_a": sheet.reference.names[0],
        "from_a_tape": sheet.tape(row.from_a),
        "wall_b": sheet.reference.names[1],
        "from_b_tape": sheet.tape(row.from_b),
        "joist": row.joist.text(sheet.system),
        "box": row.joist.box,
        "note": _note(row),
        "mark": row.mark,
        "model": point.model.name,
        "next": row.next_mark or "",
        "partner": row.partner or "",
    }
    numbers = {
        "from_a_in": _inches(row.from_a),
        "from_b_in": _inches(row.from_b),
        "x_m": f"{row.place[0]:.6f}",
        "y_m": f"{row.place[1]:.6f}",
        "to_next_in": _inches(row.to_next) if row.next_mark else "",
        "to_partner_in": _inches(row.to_partner) if row.partner else "",
    }
    return [numbers[name] if name in numbers else _plain(texts[name]) for name in COLUMNS]


def _note(row: BoxRow) -> str:
    parts = [f"{row.axis}"]
    if row.point.screws:
        parts.append(f"{row.joist.screws_in_wood} of {row.joist.screws} screws in wood")
    if row.point.is_assumed:
        parts.append("feed assumed, check the data sheet")
    if row.point.fed_from is not None:
        parts.append(f"fed from {row.point.fed_from}")
    return "; ".join(parts)


def _inches(length: float) -> str:
    return f"{length / INCH:.4f}"


def _plain(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(_RISKY) else text
