"""Closed forms of diffuse openings over points that look up, in single precision: a drag frame's share of them.

The same formulas in full are in `core.light.closed_forms`, which these are tested against.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.sources import Source

__all__ = ["Single", "unshadowed_upward"]

Single = NDArray[np.float32]


def unshadowed_upward(source: Source, starts: Single) -> Single | None:
    """Return what a diffuse opening gives points (3, n) that look up, nothing between; None where no form is known."""
    if not source.is_round:
        return _rectangle(source, starts)
    return _disc(source, starts) if source.half_length == source.half_width else None


def _disc(source: Source, starts: Single) -> Single:
    """A diffuse disc over points that look up: the parallel closed form (J. R. Howell, Catalog of Radiation Heat
    Transfer Configuration Factors, B-13: element to a parallel disc; from memory, tested against `closed_forms`)."""
    offset = np.asarray(source.centre, dtype=np.float32)[:, None] - starts
    aside, away = offset[0] ** 2 + offset[1] ** 2, offset[2] ** 2
    round_ = np.float32(source.half_length**2)
    root = np.sqrt((aside + away + round_) ** 2 - 4.0 * aside * round_)
    factor = 0.5 * (1.0 - (aside + away - round_) / np.maximum(root, 1e-12))
    exitance = source.lumens * (1.0 - source.distribution.upward_share) / (np.pi * source.half_length**2)
    return np.where(offset[2] > 0.0, factor * np.float32(exitance), np.float32(0.0))


def _rectangle(source: Source, starts: Single) -> Single:
    """A diffuse rectangle over points that look up: the parallel closed form, corner by corner (see `closed_forms`)."""
    along, across = source.axes
    offset = np.asarray(source.centre, dtype=np.float32)[:, None] - starts
    u = offset[0] * np.float32(along[0]) + offset[1] * np.float32(along[1])
    v = offset[0] * np.float32(across[0]) + offset[1] * np.float32(across[1])
    height = np.maximum(offset[2], 1e-4)
    total = np.zeros(starts.shape[1], dtype=np.float32)
    for sign_u in (1.0, -1.0):
        a = (u + np.float32(sign_u * source.half_length)) / height
        root_a = np.sqrt(1.0 + a * a)
        for sign_v in (1.0, -1.0):
            b = (v + np.float32(sign_v * source.half_width)) / height
            root_b = np.sqrt(1.0 + b * b)
            corner = a / root_a * np.arctan(b / root_a) + b / root_b * np.arctan(a / root_b)
            total += corner if sign_u * sign_v > 0.0 else -corner
    exitance = source.lumens * (1.0 - source.distribution.upward_share)
    exitance /= 4.0 * source.half_length * source.half_width
    return np.where(offset[2] > 0.0, np.abs(total) * np.float32(exitance / (2.0 * np.pi)), np.float32(0.0))
