"""How the entries of a data sheet are read: power settings, colours, beam angle. Pure."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from core.plan import PowerSetting
from core.units import parse_lumens, parse_watts

__all__ = ["beam_exponent", "beam_width", "read_colours", "read_settings", "show_settings"]

_EXAMPLE = "For example: 40 W 4400 lm; 50 W 5500 lm"
_MOST_WATTS, _MOST_LUMENS = 5000.0, 500_000.0
_BEST_EFFICACY = 260.0  # lm/W: above that a data sheet has swapped or mistyped its figures


def beam_exponent(full_angle_deg: float) -> float:
    """Return the exponent of a cosine-power beam from the angle between its half-peak directions.

    From the definition of the beam: cos(angle / 2) ** exponent = 1/2.
    """
    return math.log(0.5) / math.log(math.cos(math.radians(full_angle_deg / 2.0)))


def beam_width(exponent: float) -> float:
    """Return the angle between the half-peak directions of a cosine-power beam [degree]."""
    if exponent <= 0.0:
        return 175.0
    return 2.0 * math.degrees(math.acos(0.5 ** (1.0 / exponent)))


def read_settings(text: str) -> tuple[PowerSetting, ...]:
    """Read 'watts lumens' pairs, parted by semicolons; raises ValueError."""
    found = []
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        pair = re.fullmatch(r"(.+?W(?:atts?)?|[\d.]+)[\s,/]+(.+)", part, re.IGNORECASE)
        if pair is None:
            raise ValueError(f"'{part}' should be watts and lumens. {_EXAMPLE}")
        watts, lumens = parse_watts(pair[1]), parse_lumens(pair[2])
        if not 0.0 < watts <= _MOST_WATTS or not 0.0 < lumens <= _MOST_LUMENS:
            raise ValueError(f"'{part}': watts and lumens both have to be above zero. {_EXAMPLE}")
        if lumens / watts > _BEST_EFFICACY:
            raise ValueError(f"'{part}' would be {lumens / watts:.0f} lm per watt; no lamp gives that. Swapped?")
        found.append(PowerSetting(watts, lumens))
    if not found:
        raise ValueError(f"It needs at least one power setting. {_EXAMPLE}")
    return tuple(sorted(found, key=lambda setting: setting.watts))


def show_settings(settings: Sequence[PowerSetting]) -> str:
    """Write power settings as they can be typed."""
    return "; ".join(f"{setting.watts:g} W {setting.lumens:g} lm" for setting in settings)


def read_colours(text: str) -> tuple[int, ...]:
    """Read colour temperatures [K]; raises ValueError."""
    numbers = re.findall(r"\d+", text.replace("K", " ").replace("k", " "))
    if not numbers or re.sub(r"[\d\s,;/kK]", "", text):
        raise ValueError("Give colour temperatures in kelvin. For example: 3000, 4000, 5000")
    found = sorted({int(number) for number in numbers})
    if found[0] < 1000 or found[-1] > 20_000:
        raise ValueError("A colour temperature lies between 1000 K and 20000 K. For example: 4000")
    return tuple(found)
