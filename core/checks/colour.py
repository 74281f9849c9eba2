"""The colour of mixed light: tristimulus addition, correlated colour temperature and distance from the locus.

A data sheet gives a nominal colour temperature; its light is taken to lie on the Planckian locus at that temperature
(a real lamp lies within the quadrangles of ANSI C78.377 around it). Lights add as X, Y, Z with Y in lumens or lux
(CIE 15). The correlated colour temperature is that of the nearest point of the locus in CIE 1960 u, v, and Duv the
distance to it, above the locus positive (ANSI C78.377, Y. Ohno 2014); it means little beyond |Duv| = 0.05.
`resources/planckian_locus.csv` holds the locus every mired from 1,000 to 25,000 K, summed from Planck's law with
c2 = 0.014387769 m K and the CIE 1931 2 degree observer; linear interpolation is within 0.000001 of it.
The colour rendering of a mix cannot be had from data sheets: Ra needs spectra.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np

from core.light.grid import FloatArray

__all__ = ["MixedColour", "cct_and_duv", "chromaticity", "mccamy", "mixed"]

MCCAMY_RANGE = (2000.0, 12_500.0)
MOST_DUV = 0.05


@dataclass(frozen=True, slots=True)
class MixedColour:
    """Chromaticity, correlated colour temperature [K] and Duv of a mix."""

    x: float
    y: float
    cct: float
    duv: float


def chromaticity(kelvin: float) -> tuple[float, float]:
    """Return x, y of the Planckian locus at a temperature from 1,000 to 25,000 K.

    Raises
    ------
    ValueError
        Outside that range.
    """
    mired = 1e6 / kelvin if kelvin > 0.0 else np.inf
    table = _locus()
    if not table[0, 0] <= mired <= table[-1, 0]:
        raise ValueError("A colour temperature must lie between 1,000 and 25,000 K.")
    return float(np.interp(mired, table[:, 0], table[:, 1])), float(np.interp(mired, table[:, 0], table[:, 2]))


def mixed(parts: Sequence[tuple[float, float]]) -> MixedColour | None:
    """Return the colour of lights that meet.

    Parameters
    ----------
    parts
        Pairs of an amount (lumens, or lux at one place) and a nominal colour temperature [K].

    Returns
    -------
    MixedColour or None
        None where there is no light.
    """
    total = np.zeros(3)
    for amount, kelvin in parts:
        x, y = chromaticity(kelvin)
        total += amount * np.array([x / y, 1.0, (1.0 - x - y) / y])
    if total[1] <= 0.0:
        return None
    x, y = float(total[0] / total.sum()), float(total[1] / total.sum())
    return MixedColour(x, y, *cct_and_duv(x, y))


def cct_and_duv(x: float, y: float) -> tuple[float, float]:
    """Return correlated colour temperature [K] and Duv of a chromaticity, by the nearest point of the locus."""
    table = _locus()
    u, v = _uv(table[:, 1], table[:, 2])
    pu, pv = _uv(np.array([x]), np.array([y]))
    point = np.array([pu[0], pv[0]])
    start = np.column_stack([u[:-1], v[:-1]])
    step = np.column_stack([np.diff(u), np.diff(v)])
    along = np.clip(((point - start) * step).sum(axis=1) / (step**2).sum(axis=1), 0.0, 1.0)
    foot = start + along[:, None] * step
    distance = np.linalg.norm(point - foot, axis=1)
    best = int(distance.argmin())
    mired = float(table[best, 0] + along[best] * (table[best + 1, 0] - table[best, 0]))
    sign = 1.0 if point[1] >= foot[best, 1] else -1.0
    return 1e6 / mired, sign * float(distance[best])


def mccamy(x: float, y: float) -> float:
    """Return McCamy's approximation of the colour temperature [K] (Color Res. Appl. 17, 1992), 2,000 to 12,500 K.

    Examples
    --------
    >>> round(mccamy(0.3127, 0.3290), 2)
    6505.08
    """
    n = (x - 0.3320) / (y - 0.1858)
    return float(-449.0 * n**3 + 3525.0 * n**2 - 6823.3 * n + 5520.33)


def _uv(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """CIE 1960 UCS."""
    below = -2.0 * x + 12.0 * y + 3.0
    return 4.0 * x / below, 6.0 * y / below


@lru_cache(maxsize=1)
def _locus() -> FloatArray:
    lines = files("resources").joinpath("planckian_locus.csv").read_text(encoding="utf-8").splitlines()[1:]
    return np.array([[float(cell) for cell in line.split(",")] for line in lines])
