"""Ways from points to an opening that nothing can stand in: judged by boxes, so that no ray need be sent.

The way from a point to an opening is a pyramid with the opening as its base. Something stands in it only if the box
around that thing reaches, at the heights the two have in common, into the pyramid's extent along x and along y. The
test may take a clear way for a blocked one but not the reverse (after A. S. Glassner, An Introduction to Ray Tracing,
1989, on bounding volumes).
"""

from __future__ import annotations

import numpy as np

from core.light.grid import BoolArray, FloatArray
from core.light.sources import Source
from core.light.visibility import Blockers

__all__ = ["are_clear", "may_be_hidden"]

MARGIN = 2e-5
"""Boxes are taken this much larger [m]: rays are of single precision, and start five times as far off a surface."""
SINGLE = 3e-7
"""What numbers of single precision may be off, as a share: in rooms drawn far from the origin that is more."""
WORTH = 4
"""Boxes for each ray up to which it is quicker to judge than to send them."""
LEAST_RISE = 1e-9
CHUNK = 30_000
"""Boxes times points judged at a time: few enough to stay near the processor."""


def may_be_hidden(starts: FloatArray, source: Source, blockers: Blockers, rays: int) -> BoolArray:
    """Tell from which points (n, 3) something may stand before an opening (n,), where each would send some rays.

    With many boxes it takes as long to judge as to send them: then it may be anywhere, as where no boxes are known.
    """
    boxes = blockers.boxes
    if boxes is None or len(boxes) > WORTH * rays:
        return np.ones(len(starts), dtype=bool)
    return ~are_clear(starts, source.box(), boxes)


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
    clear = np.ones(len(starts), dtype=bool)
    low, high = opening[:, :2].min(axis=0).tolist(), opening[:, :2].max(axis=0).tolist()
    level = float(opening[0, 2])
    margin = max(MARGIN, SINGLE * float(np.abs(boxes).max(initial=0.0)))
    bounds = (boxes + np.array([[-margin], [margin]])).astype(starts.dtype)
    chunk = max(1, CHUNK // max(1, len(boxes)))
    for k in range(0, len(starts), chunk):
        part = slice(k, k + chunk)
        x, y, z = starts[part].T
        tall = (bounds[:, 1, 2] >= min(level, z.min())) & (bounds[:, 0, 2] <= max(level, z.max()))
        bottom, top = bounds[tall].transpose(1, 2, 0)[..., None]
        rise = level - z
        rise[np.abs(rise) < LEAST_RISE] = LEAST_RISE
        one, other = (bottom[2] - z) / rise, (top[2] - z) / rise
        begins, ends = np.maximum(np.minimum(one, other), 0.0), np.minimum(np.maximum(one, other), 1.0)
        meets = begins <= ends
        for axis, flat in enumerate((x, y)):
            to_low, to_high = low[axis] - flat, high[axis] - flat
            least = flat + np.minimum(begins * to_low, ends * to_low)
            most = flat + np.maximum(begins * to_high, ends * to_high)
            meets &= (least <= top[axis]) & (most >= bottom[axis])
        clear[part] = ~meets.any(axis=0)
    return clear
