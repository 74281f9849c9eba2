"""Exact definitions of the units on screen.

The international yard and pound agreement of 1959 fixes 1 ft = 0.3048 m exactly, and 1 in = 1 ft / 12. One
foot-candle is one lumen per square foot, one lux one lumen per square metre, so 1 fc = 1 / 0.3048² lx =
10.763910 lx. Nothing is assumed beyond these definitions; the US survey foot is not used.
"""

from enum import Enum
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["FOOT", "INCH", "LUX_PER_FC", "MAX_LENGTH", "YARD", "UnitError", "UnitSystem", "to_fc", "to_lux"]

FOOT = 0.3048
"""One foot [m]."""

INCH = 0.0254
"""One inch [m]."""

YARD = 0.9144
"""One yard [m]."""

LUX_PER_FC = 1 / FOOT**2
"""One foot-candle [lx]."""

MAX_LENGTH = 10_000.0
"""The longest length that may be typed [m]; anything longer is a slip of the keyboard."""

Light = TypeVar("Light", float, NDArray[np.float64])


class UnitSystem(Enum):
    """What bare numbers mean when typed, and how figures are shown."""

    US = "us"
    METRIC = "metric"


class UnitError(ValueError):
    """A typed entry was not understood; the message tells what, and gives an example.

    Parameters
    ----------
    problem
        One sentence: what is wrong.
    example
        Entries that would be understood.
    """

    def __init__(self, problem: str, example: str) -> None:
        super().__init__(f"{problem} For example: {example}")
        self.problem = problem
        self.example = example


def to_fc(lx: Light) -> Light:
    """Turn lux into foot-candles, number or array [fc]."""
    return lx / LUX_PER_FC


def to_lux(fc: Light) -> Light:
    """Turn foot-candles into lux, number or array [lx]."""
    return fc * LUX_PER_FC
