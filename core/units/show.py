"""Write quantities as a woodworker reads them.

Lengths go to the nearest part of an inch with the fraction reduced and carried (11 31/32 in to sixteenths is
1'); metric lengths to the millimetre, in mm below one metre and in m with three decimals from there on.
Light has the digits that matter: hundredths below 0.1, tenths below 10, whole numbers above. A value that
does not exist (nan, infinite) is shown as `–`, so that a table with an empty bench stays readable.
"""

import math
from typing import Final, Literal

from core.units.quantities import FOOT, INCH, UnitSystem, to_fc
from core.units.tokens import VULGAR

__all__ = [
    "NO_VALUE",
    "Style",
    "show_angle",
    "show_area",
    "show_illuminance",
    "show_inches_decimal",
    "show_length",
    "show_lumens",
    "show_ratio",
    "show_watts",
]

Style = Literal["tape", "short"]

NO_VALUE: Final = "–"
FRACTIONS: Final = (1, 2, 4, 8, 16, 32, 64)
_SIGNS: Final = {parts: sign for sign, parts in VULGAR.items()}


def show_length(metres: float, system: UnitSystem = UnitSystem.US, fraction: int = 16, style: Style = "tape") -> str:
    """Write a length.

    Parameters
    ----------
    metres
        The length [m].
    system
        US: feet, inches and fractions. METRIC: `38 mm` below a metre, `3.810 m` from there on.
    fraction
        Finest part of an inch, one of 1, 2, 4 ... 64; a half is rounded away from zero. Not used in METRIC.
    style
        `tape`: `12' 6 1/2"`, `1' 0 3/16"`, and even feet without inches, `6'`.
        `short`: for dimension lines, `12'6½"`; METRIC without closing zeros, `3.81 m`.

    Raises
    ------
    ValueError
        For another `fraction`.

    Examples
    --------
    >>> show_length(3.8227)
    '12\\' 6 1/2"'
    """
    if fraction not in FRACTIONS:
        raise ValueError(f"fraction must be one of {FRACTIONS}, not {fraction}")
    if not math.isfinite(metres):
        return NO_VALUE
    if system is UnitSystem.METRIC:
        return _metric_length(metres, style)
    parts = _nearest(abs(metres) / INCH * fraction)
    sign = "-" if metres < 0 and parts else ""
    inches, above = divmod(parts, fraction)
    feet, inches = divmod(inches, 12)
    if not feet:
        return f"{sign}{_inches(inches, above, fraction, style)}"
    if not inches and not above:
        return f"{sign}{feet}'"
    blank = " " if style == "tape" else ""
    return f"{sign}{feet}'{blank}{_inches(inches, above, fraction, style, after_feet=True)}"


def _nearest(value: float) -> int:
    """Round a value that is not below zero to the nearest whole number, a half up."""
    return math.floor(value + 0.5)


def _inches(whole: int, above: int, fraction: int, style: Style, after_feet: bool = False) -> str:
    if not above:
        return f'{whole}"'
    common = math.gcd(above, fraction)
    above, below = above // common, fraction // common
    # A fraction right behind the feet reads badly, so it gets a nought: 1' 0 3/16".
    lead = str(whole) if whole or after_feet else ""
    if style == "short" and (above, below) in _SIGNS:
        return f'{lead}{_SIGNS[above, below]}"'
    return f'{lead}{" " if lead else ""}{above}/{below}"'


def _metric_length(metres: float, style: Style) -> str:
    millimetres = _nearest(abs(metres) * 1000)
    sign = "-" if metres < 0 and millimetres else ""
    if millimetres < 1000:
        return f"{sign}{millimetres} mm"
    text = f"{millimetres // 1000}.{millimetres % 1000:03d}"
    if style == "short":
        text = text.rstrip("0").rstrip(".")
    return f"{sign}{text} m"


def show_inches_decimal(metres: float, digits: int = 2) -> str:
    """Write a length in inches with a fixed number of decimals: `150.50"`."""
    return f'{_fixed(metres / INCH, digits)}"' if math.isfinite(metres) else NO_VALUE


def _fixed(value: float, digits: int) -> str:
    """Write with thousands separators and a fixed number of decimals, never `-0`."""
    return f"{round(value, digits) + 0.0:,.{digits}f}"


def _telling(value: float) -> str:
    """Write with the digits that matter: 0.04, 0.4, 7.5, 104, 1,119."""
    if value == 0:
        return "0"
    if abs(value) < 0.095:
        return _fixed(value, 2)
    return _fixed(value, 1) if abs(value) < 9.95 else _fixed(value, 0)


def _trimmed(value: float, digits: int) -> str:
    text = _fixed(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def show_illuminance(lux: float, system: UnitSystem = UnitSystem.US) -> str:
    """Write an illuminance given in lux: `0.4 fc`, `7.5 fc`, `104 fc`; METRIC `1,119 lx`."""
    if not math.isfinite(lux):
        return NO_VALUE
    return f"{_telling(to_fc(lux))} fc" if system is UnitSystem.US else f"{_telling(lux)} lx"


def show_lumens(lumens: float) -> str:
    """Write a luminous flux: `4,000 lm`."""
    return f"{_fixed(lumens, 0)} lm" if math.isfinite(lumens) else NO_VALUE


def show_watts(watts: float) -> str:
    """Write a power: `7.5 W`, `40 W`, `1,250 W`; tenths are kept below 100 W where there are any."""
    if not math.isfinite(watts):
        return NO_VALUE
    return f"{_trimmed(watts, 1 if abs(watts) < 99.95 else 0)} W"


def show_area(square_metres: float, system: UnitSystem = UnitSystem.US) -> str:
    """Write an area given in m²: `280 sq ft`; METRIC `26.0 m²`."""
    if not math.isfinite(square_metres):
        return NO_VALUE
    if system is UnitSystem.US:
        return f"{_telling(square_metres / FOOT**2)} sq ft"
    return f"{_fixed(square_metres, 1)} m²"


def show_angle(degrees: float, digits: int = 1) -> str:
    """Write an angle, with decimals only where there are any: `45°`, `22.5°`."""
    return f"{_trimmed(degrees, digits)}°" if math.isfinite(degrees) else NO_VALUE


def show_ratio(ratio: float) -> str:
    """Write a share or an evenness with two decimals: `0.62`."""
    return _fixed(ratio, 2) if math.isfinite(ratio) else NO_VALUE
