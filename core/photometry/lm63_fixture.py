"""The thirteen numbers of an LM-63 file that stand before its angles.

Ten: number of lamps, lumens per lamp, candela multiplier, counts of vertical and horizontal angles,
photometric type, units, width, length and height of the luminous opening. Three: ballast factor, a number
whose meaning changed with the edition, input watts. Counts are capped before anything is made room for.

Source: ANSI/IES LM-63 (1986 to 2019), as given by open parser libraries.
"""

import math
from dataclasses import dataclass

from core.photometry.lm63_heading import Edition
from core.photometry.lm63_text import NumberReader, PhotometryError
from core.photometry.opening import LuminousOpening, read_opening
from core.photometry.web import MOST_CANDELA

__all__ = ["MOST_ANGLES", "FixtureNumbers", "read_fixture_numbers"]

MOST_ANGLES = 1000
"""Most angles of a kind that a file may declare; every half degree all round is 721."""
MOST_LAMPS = 1000
_METRES_PER_UNIT = {1.0: 0.3048, 2.0: 1.0}
_TYPES = {2.0: "B (floodlights)", 3.0: "A (headlights and signals)"}
_MOST_METRES = 1000.0
_LARGE_METRES = 10.0
_MADE_BY = {
    "1.00001": "not stated",
    "1.00010": "computer simulation",
    "1.00000": "unaccredited laboratory",
    "1.00100": "unaccredited laboratory, scaled",
    "1.01000": "unaccredited laboratory, interpolated",
    "1.01100": "unaccredited laboratory, scaled and interpolated",
    "1.10000": "accredited laboratory",
    "1.10100": "accredited laboratory, scaled",
    "1.11000": "accredited laboratory, interpolated",
    "1.11100": "accredited laboratory, scaled and interpolated",
}
"""File generation type of the 2019 edition, its Table 2."""


@dataclass(frozen=True)
class FixtureNumbers:
    """What the thirteen numbers say.

    Parameters
    ----------
    lamps : int
    lamp_lumens : float or None
        Rated lumens [lm] of all lamps; None for absolute photometry.
    factor : float
        Everything that multiplies the candela values.
    vertical_count, horizontal_count : int
    opening : LuminousOpening
    input_watts : float or None
    generation : str
        How the file was made (edition of 2019), else empty.
    warnings : tuple of str
    """

    lamps: int
    lamp_lumens: float | None
    factor: float
    vertical_count: int
    horizontal_count: int
    opening: LuminousOpening
    input_watts: float | None
    generation: str
    warnings: tuple[str, ...]


def read_fixture_numbers(reader: NumberReader, edition: Edition) -> FixtureNumbers:
    """Read and check the thirteen numbers; `PhotometryError` names the first that is wrong."""
    lamps = _count(reader, "number of lamps", MOST_LAMPS)
    lumens = reader.number("lumens per lamp (-1 for absolute photometry)")
    if lumens != -1.0 and lumens <= 0.0:
        reason = f"{lumens:g} lumens per lamp; it must be above zero, or -1 for absolute photometry"
        raise PhotometryError(reader.line, reason)
    factor = _factor(reader, "candela multiplier")
    vertical_count = _count(reader, "number of vertical angles", MOST_ANGLES)
    horizontal_count = _count(reader, "number of horizontal angles", MOST_ANGLES)
    _require_type_c(reader)
    opening, warnings = _read_opening(reader, edition)
    factor *= _factor(reader, "ballast factor")
    generation = ""
    if edition.has_lamp_factor:
        lamp_factor = _factor(reader, "ballast-lamp photometric factor")
        if lamp_factor != 1.0:
            warnings += (f"the candela are multiplied by a ballast-lamp factor of {lamp_factor:g}",)
        factor *= lamp_factor
    else:
        second = reader.number("number between ballast factor and input watts")
        if edition is Edition.OF_2019:
            generation = _MADE_BY.get(f"{second:.5f}", "not stated")
    if not 0.0 < factor <= MOST_CANDELA:
        raise PhotometryError(reader.line, f"multiplier and ballast factors together are {factor:g}, which is absurd")
    watts = reader.number("input watts")
    if watts < 0.0:
        warnings += ("the input watts are below zero and are ignored",)
    return FixtureNumbers(
        lamps=lamps,
        lamp_lumens=None if lumens == -1.0 else lamps * lumens,
        factor=factor,
        vertical_count=vertical_count,
        horizontal_count=horizontal_count,
        opening=opening,
        input_watts=watts if watts > 0.0 else None,
        generation=generation,
        warnings=warnings,
    )


def _count(reader: NumberReader, what: str, most: int) -> int:
    value = reader.number(what)
    if value < 1.0 or value != math.floor(value):
        raise PhotometryError(reader.line, f"the {what} is {value:g}; it must be a whole number of 1 or more")
    if value > most:
        raise PhotometryError(reader.line, f"the {what} is {value:g}; more than {most} is absurd")
    return int(value)


def _factor(reader: NumberReader, what: str) -> float:
    value = reader.number(what)
    if value <= 0.0:
        raise PhotometryError(reader.line, f"the {what} is {value:g}; it must be above zero")
    return value


def _require_type_c(reader: NumberReader) -> None:
    kind = reader.number("photometric type (1 for Type C)")
    if kind in _TYPES:
        reason = f"the file is of photometric Type {_TYPES[kind]}; only Type C (luminaires for rooms) is supported"
        raise PhotometryError(reader.line, reason)
    if kind != 1.0:
        raise PhotometryError(reader.line, f"the photometric type is {kind:g}; it must be 1 (C), 2 (B) or 3 (A)")


def _read_opening(reader: NumberReader, edition: Edition) -> tuple[LuminousOpening, tuple[str, ...]]:
    units = reader.number("units type (1 feet, 2 metres)")
    if units not in _METRES_PER_UNIT:
        raise PhotometryError(reader.line, f"the units type is {units:g}; it must be 1 (feet) or 2 (metres)")
    size = []
    for what in ("width", "length", "height"):
        size.append(reader.number(f"{what} of the luminous opening") * _METRES_PER_UNIT[units])
        if abs(size[-1]) > _MOST_METRES:
            raise PhotometryError(reader.line, f"the {what} of the luminous opening is {size[-1]:g} m, which is absurd")
    opening, warning = read_opening(size[0], size[1], size[2], edition.from_2002)
    warnings: tuple[str, ...] = (warning,) if warning else ()
    if max(map(abs, size)) > _LARGE_METRES:
        warnings += (f"the luminous opening is {max(map(abs, size)):g} m large; are its units right?",)
    return opening, warnings
