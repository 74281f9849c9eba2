"""Lengths, light and other quantities as a person types and reads them.

Inside the program everything is SI (m, lm, lx, degrees for rotations). This package is the one place where
feet, inches and foot-candles are turned into SI and back: `quantities` holds the exact definitions, `parse`
reads what was typed, `typed_point` reads positions typed while drawing, `show` writes figures for the screen
and for lists.
"""

from core.units.parse import (
    parse_angle,
    parse_illuminance,
    parse_length,
    parse_lumens,
    parse_money,
    parse_number,
    parse_ratio,
    parse_watts,
)
from core.units.quantities import (
    FOOT,
    INCH,
    LUX_PER_FC,
    MAX_LENGTH,
    UnitError,
    UnitSystem,
    to_fc,
    to_lux,
)
from core.units.show import (
    show_angle,
    show_area,
    show_illuminance,
    show_inches_decimal,
    show_length,
    show_lumens,
    show_ratio,
    show_watts,
)
from core.units.typed_point import TypedPoint, parse_point

__all__ = [
    "FOOT",
    "INCH",
    "LUX_PER_FC",
    "MAX_LENGTH",
    "TypedPoint",
    "UnitError",
    "UnitSystem",
    "parse_angle",
    "parse_illuminance",
    "parse_length",
    "parse_lumens",
    "parse_money",
    "parse_number",
    "parse_point",
    "parse_ratio",
    "parse_watts",
    "show_angle",
    "show_area",
    "show_illuminance",
    "show_inches_decimal",
    "show_length",
    "show_lumens",
    "show_ratio",
    "show_watts",
    "to_fc",
    "to_lux",
]
