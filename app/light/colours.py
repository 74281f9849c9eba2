"""The map from illuminance to colour: slate (too little), paper white (as wanted), amber (more than needed).

The middle of the map is the user's target. Either side is a straight line in CIELAB (CIE 15:2004, D65)
between the paper and its end colour, walked at an even pace: equal shares of illuminance are equal colour
differences after CIE94 (CIE 116-1995, graphic arts), so that no step of the map shouts. Lightness falls
steadily on both sides, more on the dark one, and the two hues lie on the blue-yellow axis, which red-green
deficiencies keep.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["SIZE", "SPAN", "colour_at", "colour_table", "lightness", "packed_table", "wanted_colour"]

SIZE = 1024
"""Entries of a table."""

SPAN = 2.0
"""The table runs from no light to so many times the target."""

_WHITE = (0.95047, 1.0, 1.08883)  # D65, 2 degree observer, CIE 15:2004
_TO_RGB = np.array(  # IEC 61966-2-1, XYZ to linear sRGB
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
)
_DENSE = 4097  # points at which the path's length is added up

_Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Ends:
    """End colours of the map: lightness, chroma, hue [degree] in CIELAB."""

    too_little: tuple[float, float, float]
    wanted: tuple[float, float, float]
    too_much: tuple[float, float, float]


_LIGHT = _Ends((29.0, 24.0, 267.0), (98.5, 2.0, 95.0), (69.0, 64.0, 74.0))
# By night paper is not as bright, and the darkest slate still stands out from the desk.
_DARK = _Ends((24.0, 21.0, 269.0), (89.0, 5.0, 90.0), (63.0, 61.0, 74.0))


@cache
def colour_table(dark: bool = False) -> NDArray[np.uint8]:
    """Return the map as RGBA, shape (1024, 4).

    Entry ``i`` stands for ``i / 1023 * SPAN`` times the target.
    """
    table = np.full((SIZE, 4), 255, dtype=np.uint8)
    table[:, :3] = np.round(_rgb(_path(_DARK if dark else _LIGHT)) * 255.0)
    table.setflags(write=False)
    return table


@cache
def packed_table(dark: bool = False) -> NDArray[np.uint32]:
    """Return the map as Qt's 32-bit pixels 0xffRRGGBB, shape (1024,)."""
    red, green, blue, alpha = colour_table(dark).astype(np.uint32).T
    table: NDArray[np.uint32] = (alpha << 24) | (red << 16) | (green << 8) | blue
    table.setflags(write=False)
    return table


def lightness(share: float, dark: bool = False) -> float:
    """Return the CIELAB lightness (0 to 100) of the map at ``share`` times the target."""
    return float(_path(_DARK if dark else _LIGHT)[_entry(share), 0])


def colour_at(share: float, dark: bool = False) -> tuple[int, int, int]:
    """Return red, green and blue of the map at ``share`` times the target."""
    red, green, blue, _ = colour_table(dark)[_entry(share)]
    return int(red), int(green), int(blue)


@cache
def wanted_colour(dark: bool = False) -> tuple[int, int, int]:
    """Return red, green and blue of the middle of the map: light as wanted."""
    red, green, blue = _rgb(_lab(*(_DARK if dark else _LIGHT).wanted)[None, :])[0] * 255.0
    return round(red), round(green), round(blue)


def _entry(share: float) -> int:
    return round(min(max(share / SPAN, 0.0), 1.0) * (SIZE - 1))


@cache
def _path(ends: _Ends) -> _Array:
    """Return the whole map in CIELAB, shape (1024, 3)."""
    share = np.linspace(0.0, SPAN, SIZE)
    below = _walk(_lab(*ends.wanted), _lab(*ends.too_little), 1.0 - share[share <= 1.0])
    above = _walk(_lab(*ends.wanted), _lab(*ends.too_much), share[share > 1.0] - 1.0)
    return np.vstack([below, above])


def _walk(start: _Array, end: _Array, how_far: _Array) -> _Array:
    """Return the colours at equal paces ``how_far`` (0 to 1) on the line from ``start`` to ``end``."""
    line = np.linspace(0.0, 1.0, _DENSE)
    colours = start + (end - start) * line[:, None]
    length = np.concatenate([[0.0], np.cumsum(_difference_94(colours[:-1], colours[1:]))])
    walked: _Array = start + (end - start) * np.interp(how_far * length[-1], length, line)[:, None]
    return walked


def _difference_94(one: _Array, other: _Array) -> _Array:
    """Return the CIE94 colour difference of pairs, shape (n,).

    CIE 116-1995 with K1 = 0.045, K2 = 0.015, and the geometric mean of the chromas as reference.
    """
    lightness, green_red, blue_yellow = (other - one).T
    chroma_one, chroma_other = np.hypot(one[:, 1], one[:, 2]), np.hypot(other[:, 1], other[:, 2])
    chroma, mean = chroma_other - chroma_one, np.sqrt(chroma_one * chroma_other)
    hue_squared = np.maximum(green_red**2 + blue_yellow**2 - chroma**2, 0.0)
    difference: _Array = np.sqrt(
        lightness**2 + (chroma / (1.0 + 0.045 * mean)) ** 2 + hue_squared / (1.0 + 0.015 * mean) ** 2
    )
    return difference


def _lab(lightness: float, chroma: float, hue: float) -> _Array:
    angle = math.radians(hue)
    return np.array([lightness, chroma * math.cos(angle), chroma * math.sin(angle)])


def _rgb(lab: _Array) -> _Array:
    """Return encoded sRGB (0 to 1) of CIELAB colours, shape (n, 3): CIE 15:2004 and IEC 61966-2-1."""
    y = (lab[:, 0] + 16.0) / 116.0
    f = np.column_stack([y + lab[:, 1] / 500.0, y, y - lab[:, 2] / 200.0])
    xyz = np.where(f > 6.0 / 29.0, f**3, 3.0 * (6.0 / 29.0) ** 2 * (f - 4.0 / 29.0)) * np.array(_WHITE)
    linear = np.clip(xyz @ _TO_RGB.T, 0.0, 1.0)
    encoded: _Array = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return encoded
