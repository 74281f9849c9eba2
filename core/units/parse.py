"""Read quantities as a person types them: `12' 6 1/2"`, `3,81 m`, `80 fc`, `45°`.

Every entry may be worked out with + - * / and brackets (see `arithmetic`). Lengths understand feet, inches,
yards, metres, centimetres and millimetres in both unit systems; the system decides only what a number without
a unit means.
"""

import re
from types import MappingProxyType
from typing import Final

from core.units.arithmetic import work_out
from core.units.measure import Measure, Unit
from core.units.quantities import FOOT, INCH, LUX_PER_FC, MAX_LENGTH, YARD, UnitError, UnitSystem

__all__ = [
    "parse_angle",
    "parse_illuminance",
    "parse_length",
    "parse_lumens",
    "parse_money",
    "parse_number",
    "parse_ratio",
    "parse_watts",
]

_LENGTH_NAMES: Final = {
    "yd yard yards": Unit(YARD, "us"),
    "' ft foot feet": Unit(FOOT, "us", then=INCH),
    "\" '' in inch inches": Unit(INCH, "us"),
    "m meter meters metre metres": Unit(1.0, "metric"),
    "cm centimeter centimeters centimetre centimetres": Unit(0.01, "metric"),
    "mm millimeter millimeters millimetre millimetres": Unit(0.001, "metric"),
}
_LIGHT_NAMES: Final = {
    "fc footcandle footcandles": Unit(LUX_PER_FC),
    "lx lux": Unit(1.0),
}


def _by_name(names: dict[str, Unit]) -> MappingProxyType[str, Unit]:
    return MappingProxyType({name: unit for group, unit in names.items() for name in group.split()})


_LENGTH_UNITS: Final = _by_name(_LENGTH_NAMES)
_LIGHT_UNITS: Final = _by_name(_LIGHT_NAMES)
_LENGTH_EXAMPLES: Final = {
    UnitSystem.US: "12' 6 1/2\", 12.5 ft, 3.81 m or 12' 6 - 3 1/2\"",
    UnitSystem.METRIC: "3.81 m, 381 cm, 3810 mm or 12' 6 1/2\"",
}
_NUMBER: Final = Measure("number", MappingProxyType({}), 1.0, "4, 0.75, 3 1/2 or 24/2")
_ANGLE: Final = Measure(
    "angle", _by_name({"° deg degree degrees": Unit(1.0)}), 1.0, "45, 22.5° or 90 deg", thousands=False
)
_RATIO: Final = Measure("share", _by_name({"%": Unit(0.01)}), 1.0, "0.8 or 80 %", thousands=False, mixes=False)
_LUMENS: Final = Measure("light output", _by_name({"lm lumen lumens": Unit(1.0)}), 1.0, "4000 or 4,000 lm")
_WATTS: Final = Measure("power", _by_name({"w watt watts": Unit(1.0), "kw": Unit(1000.0)}), 1.0, "40 or 40 W")
_MONEY: Final = Measure("price", MappingProxyType({}), 1.0, "89, 89.95 or $1,200")

MAX_ANGLE: Final = 36_000.0
"""A hundred turns [degrees]."""


def parse_length(
    text: str, system: UnitSystem = UnitSystem.US, bare: float | None = None, *, negative: bool = True
) -> float:
    """Read a length.

    Parameters
    ----------
    text
        `12' 6 1/2"`, `12'-6"`, `12 ft 6 in`, `6½"`, `3.81 m`, `3,81 m`, `20 ft / 3`, `(10' - 2*6")/2` ...
    system
        Decides what a number without a unit means: feet in US, metres in METRIC.
    bare
        The unit of a number without a unit [m], for boxes that ask for inches (`INCH`) or mm (0.001).
    negative
        Whether a length below zero makes sense here.

    Returns
    -------
    float
        The length [m], at most `MAX_LENGTH` either way, to the nanometre, so that 3' equals 36".

    Raises
    ------
    UnitError
        When the entry is not understood, can be read in two ways, or is out of range.

    Examples
    --------
    >>> round(parse_length("12' 6 - 3 1/2\\""), 4)
    3.7211
    """
    meant = bare if bare is not None else FOOT if system is UnitSystem.US else 1.0
    example = _LENGTH_EXAMPLES[system]
    measure = Measure(
        "length", _LENGTH_UNITS, meant, example, thousands=False, mixes=False, drawing_hyphen=meant == FOOT
    )
    length = round(work_out(text, measure), 9)
    if abs(length) > MAX_LENGTH:
        raise UnitError("This is longer than 10 km, the most a length may be.", example)
    if not negative:
        _refuse_below_zero(length, example)
    return length


def parse_angle(text: str) -> float:
    """Read an angle [degrees], not brought into one turn; raises UnitError beyond a hundred turns."""
    angle = work_out(text, _ANGLE)
    if abs(angle) > MAX_ANGLE:
        raise UnitError("This is more than a hundred turns.", _ANGLE.example)
    return angle


def parse_number(text: str) -> float:
    """Read a plain number, also `3 1/2` or `24/2`; raises UnitError."""
    return work_out(text, _NUMBER)


def parse_ratio(text: str) -> float:
    """Read a share from 0 to 1 (reflectance, dimming), `0.8` or `80 %`; raises UnitError outside."""
    ratio = work_out(text, _RATIO)
    if not 0 <= ratio <= 1:
        raise UnitError("A share lies between 0 and 1, or between 0 % and 100 %.", _RATIO.example)
    return ratio


def parse_illuminance(text: str, system: UnitSystem = UnitSystem.US) -> float:
    """Read an illuminance [lx]; a bare number is foot-candles in US, lux in METRIC; raises UnitError."""
    us = system is UnitSystem.US
    example = "80, 80 fc or 800 lx" if us else "800, 800 lx or 80 fc"
    measure = Measure("illuminance", _LIGHT_UNITS, LUX_PER_FC if us else 1.0, example)
    one_word = re.sub(r"(?i)(?<![a-z])(foot|ft)[- ]?(candles?|c\b)", "fc", text[:1000])
    return _refuse_below_zero(work_out(one_word, measure), example)


def parse_lumens(text: str) -> float:
    """Read a luminous flux [lm], zero or more; raises UnitError."""
    return _refuse_below_zero(work_out(text, _LUMENS), _LUMENS.example)


def parse_watts(text: str) -> float:
    """Read a power [W], zero or more; raises UnitError."""
    return _refuse_below_zero(work_out(text, _WATTS), _WATTS.example)


def parse_money(text: str) -> float:
    """Read a price, zero or more, with or without one currency sign before or after it; raises UnitError."""
    amount = re.sub(r"\A\s*[$€£]|[$€£]\s*\Z", "", text[:1000], count=1)
    return _refuse_below_zero(work_out(amount, _MONEY), _MONEY.example)


def _refuse_below_zero(value: float, example: str) -> float:
    if value < 0:
        raise UnitError("This may not be below zero.", example)
    return value
