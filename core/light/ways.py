"""Ways from points to an opening that nothing can stand in: judged by boxes, so that no ray need be sent.

The way from a point to an opening is a pyramid with the opening as its base. Something stands in it only if the box
around that thing reaches, at the heights the two have in common, into the pyramid's extent along x and along y. The
test may take a clear way for a blocked one but not the reverse (after A. S. Glassner, An Introduction to Ray Tracing,
1989, on bounding volumes).
"""

from __future__ import annotations

import numpy as np

from core.light.grid import BoolArray, FloatArray

__all__ = ["are_clear"]

MARGIN = 2e-5
"""Boxes are taken this much larger [m]: rays are of single precision, and start five times as far off a surface."""
LEAST_RISE = 1e-9


def are_clear(starts: FloatArray, opening: FloatArray, boxes: FloatArray) -> BoolArray:
    """Tell from which points nothing can stand before a level opening.

    Parameters
    ----------
    starts : (n, 3)
        Just off the surface that they lie on [m].
    opening : (k, 3)
        Corners of the opening, or of what it lies in, all at one height [m].
    boxes : (b, 2, 3)
        Low and high corners of all that stands in the room [m].

    Returns
    -------
    (n,)
    """
    low, high = opening[:, :2].min(axis=0), opening[:, :2].max(axis=0)
    rise = opening[0, 2] - starts[:, 2]
    rise = np.where(np.abs(rise) < LEAST_RISE, LEAST_RISE, rise)
    flat = np.ascontiguousarray(starts[:, :2].T)
    to_low, to_high = low[:, None] - flat, high[:, None] - flat
    clear = np.ones(len(starts), dtype=bool)
    for bottom, top in boxes + np.array([[-MARGIN], [MARGIN]]):
        one, other = (bottom[2] - starts[:, 2]) / rise, (top[2] - starts[:, 2]) / rise
        begins, ends = np.maximum(np.minimum(one, other), 0.0), np.minimum(np.maximum(one, other), 1.0)
        meets = begins <= ends
        for axis in range(2):
            least = flat[axis] + np.minimum(begins * to_low[axis], ends * to_low[axis])
            most = flat[axis] + np.maximum(begins * to_high[axis], ends * to_high[axis])
            meets &= (least <= top[axis]) & (most >= bottom[axis])
        clear &= ~meets
    return clear
