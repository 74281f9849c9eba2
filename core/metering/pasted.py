"""Readings from pasted text: a table copied from a spreadsheet or typed, tabs, commas or semicolons between cells.

With a heading the columns are found by name: point, x, y, height, tilt, direction, reading, dark, time. Without one a
line is `point reading` or `point reading dark`, the point being a number of the walk sheet. A reading may carry its
unit (`84 fc`, `910 lx`); bare numbers are in the plan's unit. Lengths may be typed as anywhere (`3' 4"`, `1.2 m`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from core.plan.checking import MeterReading
from core.units import UnitError, UnitSystem, parse_illuminance, parse_length, parse_number

__all__ = ["PasteError", "read_pasted"]

_NAMES: Mapping[str, str] = {
    "point": "id", "no": "id", "number": "id", "nr": "id", "#": "id",
    "x": "x", "y": "y", "height": "height", "z": "height",
    "tilt": "tilt_deg", "direction": "azimuth_deg", "azimuth": "azimuth_deg",
    "reading": "lux", "measured": "lux", "fc": "lux", "lx": "lux", "lux": "lux", "light": "lux", "value": "lux",
    "dark": "dark_lux", "off": "dark_lux", "lights off": "dark_lux", "lights-off": "dark_lux",
    "time": "taken", "when": "taken", "taken": "taken",
}  # fmt: skip
MOST_LINES = 2000
_LENGTHS, _LIGHTS, _ANGLES = {"x", "y", "height"}, {"lux", "dark_lux"}, {"tilt_deg", "azimuth_deg"}


class PasteError(ValueError):
    """The text was not understood; the message names the line and says what to do."""


def read_pasted(
    text: str, readings: Sequence[MeterReading], blank: MeterReading, system: UnitSystem
) -> list[MeterReading]:
    """Return the readings that a pasted table holds.

    Parameters
    ----------
    readings
        Those of the plan: a line that names one of them by its number fills it in.
    blank
        What a line with a position of its own starts from (switches, heights).
    system
        What bare numbers mean.

    Raises
    ------
    PasteError
        One line that names the line and what is wrong; nothing is taken over then.
    """
    lines = [(n, _cells(line)) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if len(lines) > MOST_LINES:
        raise PasteError(f"The table has {len(lines)} lines; paste {MOST_LINES} at most.")
    if not lines:
        raise PasteError("There is nothing to read. Copy the table first, then paste it here.")
    names = _heading(lines[0][1])
    known = {_number(reading.id): reading for reading in readings}
    found: list[MeterReading] = []
    for n, cells in lines[1:] if names else lines:
        columns = names or ["id", "lux", "dark_lux"][: len(cells)]
        if not names and len(cells) not in (2, 3):
            raise PasteError(f"Line {n}: there should be a point's number and a reading, as in: 7, 84 fc")
        values = {name: cell for name, cell in zip(columns, cells, strict=False) if name and cell}
        if "lux" in values:
            found.append(_reading(n, values, known, blank, system, len(found)))
    if not found:
        raise PasteError("No line holds a reading. Name that column 'reading'.")
    return found


def _reading(
    line: int,
    values: Mapping[str, str],
    known: Mapping[str, MeterReading],
    blank: MeterReading,
    system: UnitSystem,
    count: int,
) -> MeterReading:
    start = known.get(_number(values.get("id", "")))
    if start is None:
        if "x" not in values or "y" not in values:
            named = f"There is no point {values['id']}" if "id" in values else "There is no point's number"
            raise PasteError(f"Line {line}: {named.lower()} on the sheet, and no x and y that say where it was read.")
        start = replace(blank, id=f"new-{count + 1}")
    parsed: dict[str, float | str] = {}
    for name, cell in values.items():
        if name == "id":
            continue
        try:
            if name in _LENGTHS:
                parsed[name] = parse_length(cell, system)
            elif name in _LIGHTS:
                parsed[name] = parse_illuminance(cell, system)
            elif name in _ANGLES:
                parsed[name] = parse_number(cell)
            else:
                parsed[name] = cell
        except UnitError as error:
            raise PasteError(f"Line {line}: {error}") from error
    if "lux" in values:
        metric = system is UnitSystem.METRIC
        parsed["unit"] = (
            "lx" if re.search(r"lx|lux", values["lux"].lower()) or (metric and "f" not in values["lux"]) else "fc"
        )
    return replace(start, **parsed)  # type: ignore[arg-type]


def _cells(line: str) -> list[str]:
    if "\t" in line:
        parts = line.split("\t")
    elif ";" in line:
        parts = line.split(";")
    elif "," in line:
        parts = line.split(",")
    else:
        parts = line.split(None, 1)
    return [part.strip().strip('"').strip() if part.strip().startswith('"') else part.strip() for part in parts]


def _heading(cells: Sequence[str]) -> list[str] | None:
    """Return the field of each column ('' for one that is not known), or None where the line is no heading."""
    words = [re.sub(r"\s*[\[(].*$", "", cell.lower()).strip(" .:") for cell in cells]
    if any(re.match(r"^[\d.]", word) for word in words if word != "#"):
        return None
    names = [_NAMES.get(word, "") for word in words]
    return names if any(names) else None


def _number(identity: str) -> str:
    digits = re.search(r"(\d+)\s*$", identity)
    return digits.group(1).lstrip("0") if digits else identity
