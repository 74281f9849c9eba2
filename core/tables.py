"""Tables as CSV files: UTF-8, comma, a header line, numbers with a point; safe to open in a spreadsheet.

A spreadsheet takes a cell that begins with = + - @ or a control character for a formula and runs it. Text
that the user or a stranger's file brought along may begin so; such a cell gets an apostrophe in front, which
spreadsheets do not show. Numbers are written as they are, a minus sign included.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

__all__ = ["Cell", "csv_text", "figure", "safe_cell", "slug"]

Cell = str | int | float | Decimal | None

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?\Z")


def safe_cell(value: Cell) -> str:
    """Return the text of a cell: numbers plain, nothing for None and NaN, never the start of a formula."""
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return ""
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, int | float):
        return repr(value)
    text = value.replace("\0", "")
    if text.startswith(_STARTS_A_FORMULA) and not _NUMBER.match(text):
        return "'" + text
    return text


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV text, lines ending in CR LF as RFC 4180 has it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([safe_cell(name) for name in header])
    for row in rows:
        writer.writerow([safe_cell(value) for value in row])
    return out.getvalue()


def figure(value: float, decimals: int) -> float:
    """Return a figure rounded for a table, without a negative zero."""
    return round(float(value), decimals) + 0.0


def slug(name: str, taken: Iterable[str] = ()) -> str:
    """Return a name fit for a file: lower case, anything but letters and digits a hyphen, unlike those taken.

    Letters of all scripts stay. A name without any is called ``unnamed``; a second one gets ``-2``.
    """
    kept = "".join(c if c.isalnum() else "-" for c in name.lower())
    stem = re.sub("-+", "-", kept).strip("-")[:60].strip("-") or "unnamed"
    used, result, number = set(taken), stem, 1
    while result in used:
        number += 1
        result = f"{stem}-{number}"
    return result
