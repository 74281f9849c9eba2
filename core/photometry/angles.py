"""Angles of a Type C photometric web, and how a direction finds its place between them.

A luminous intensity table is given over two angles in the fixture's own frame. *gamma* is measured
from nadir (0 straight down, 180 straight up). *C* runs counter-clockwise about the vertical: C = 0
lies along the fixture's length (local +x), C = 90 across it (local +y). Both in degrees. Only planes that
the fixture's symmetry does not repeat are tabulated; the first and the last C angle tell which symmetry
is meant.

Source: ANSI/IES LM-63 (1995, 2002, 2019), rules for Type C photometry, as given by open parser libraries.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = [
    "AngleAxis",
    "AngleFault",
    "FloatArray",
    "Symmetry",
    "horizontal_fault",
    "symmetry",
    "vertical_fault",
]

FloatArray = npt.NDArray[np.floating[Any]]

_REGULAR_LIMIT = 361
"""A scale is spread to equal steps up to this many nodes (0.5 degrees over half a turn)."""
_FINEST = 1000
"""Steps are looked for in thousandths of a degree; no file in use is finer."""


class Symmetry(Enum):
    """What the tabulated C planes repeat."""

    AXIAL = "round about the vertical"
    QUADRANT = "the same in all four quadrants"
    ACROSS_MIRRORED = "mirrored about the 0-180 plane"
    ALONG_MIRRORED = "mirrored about the 90-270 plane"
    NONE = "no symmetry"


@dataclass(frozen=True)
class AngleFault:
    """Why a list of angles cannot be used, and which of its entries is at fault."""

    index: int
    reason: str


def symmetry(horizontal_deg: Sequence[float]) -> Symmetry:
    """Symmetry told by the first and the last C angle [deg] of a table without faults."""
    first, last = horizontal_deg[0], horizontal_deg[-1]
    if first == 90.0:
        return Symmetry.ALONG_MIRRORED
    if last == 0.0:
        return Symmetry.AXIAL
    if last == 90.0:
        return Symmetry.QUADRANT
    return Symmetry.ACROSS_MIRRORED if last == 180.0 else Symmetry.NONE


def vertical_fault(angles: Sequence[float]) -> AngleFault | None:
    """First fault in a list of gamma angles [deg], or None: from 0 or 90, rising, to 90 or 180."""
    if len(angles) < 2:
        return AngleFault(0, "a light distribution needs at least two vertical angles")
    if angles[0] not in (0.0, 90.0):
        return AngleFault(0, f"the first vertical angle is {angles[0]:g}; it must be 0 (straight down) or 90")
    disorder = _disorder(angles, "vertical")
    if disorder is not None:
        return disorder
    if angles[-1] not in (90.0, 180.0):
        last = len(angles) - 1
        return AngleFault(last, f"the last vertical angle is {angles[-1]:g}; it must be 90 or 180")
    return None


def horizontal_fault(angles: Sequence[float]) -> AngleFault | None:
    """First fault in a list of C angles [deg], or None: 0 to 0, 90, 180 or up to 360; or 90 to 270."""
    if not angles:
        return AngleFault(0, "there is no horizontal angle")
    if angles[0] not in (0.0, 90.0):
        return AngleFault(0, f"the first horizontal angle is {angles[0]:g}; it must be 0 (or 90 when the last is 270)")
    disorder = _disorder(angles, "horizontal")
    if disorder is not None:
        return disorder
    last = angles[-1]
    fits = last == 270.0 if angles[0] == 90.0 else last in (0.0, 90.0) or 180.0 <= last <= 360.0
    if fits:
        return None
    allowed = "270 after a first of 90" if angles[0] == 90.0 else "0, 90, 180 or 360, or lie between 180 and 360"
    return AngleFault(len(angles) - 1, f"the last horizontal angle is {last:g}; it must be {allowed}")


def _disorder(angles: Sequence[float], which: str) -> AngleFault | None:
    for index, (before, after) in enumerate(pairwise(angles), start=1):
        if not after > before:
            return AngleFault(
                index,
                f"{which} angle {after:g} follows {before:g}; the angles must rise"
                f" (or fewer than the declared {len(angles)} are given)",
            )
    return None


class AngleAxis:
    """Nodes of one angle of a table, made ready for fast look-up.

    Where all nodes lie on a common step (nearly every file), the axis is spread to that step, so that a
    place is found by one division. Linear interpolation is not changed by nodes added on its own lines.

    Parameters
    ----------
    angles : sequence of float
        Rising angles [deg], at least two.
    """

    def __init__(self, angles: Sequence[float]) -> None:
        step = _common_step(angles)
        self.step = step
        self.given = np.array(angles, dtype=np.float64)
        if step is None:
            self.nodes = self.given
        else:
            count = round((angles[-1] - angles[0]) / step) + 1
            self.nodes = np.linspace(angles[0], angles[-1], count)
        self._nodes32 = self.nodes.astype(np.float32)

    def spread(self, table: FloatArray) -> FloatArray:
        """Table (..., n given) interpolated to this axis's nodes (..., n nodes)."""
        if self.step is None:
            return table
        rows = [np.interp(self.nodes, self.given, row) for row in table.reshape(-1, len(self.given))]
        return np.array(rows).reshape((*table.shape[:-1], len(self.nodes)))

    def locate(self, angle: FloatArray) -> tuple[npt.NDArray[np.intp], FloatArray]:
        """Index of the node at or below each angle [deg] and the fraction (0..1) of the way to the next."""
        last_cell = len(self.nodes) - 2
        if self.step is not None:
            place = np.clip((angle - float(self.nodes[0])) * (1.0 / self.step), 0.0, last_cell + 1.0)
            index = np.minimum(place.astype(np.intp), last_cell)
            return index, place - index.astype(place.dtype)
        nodes = self._nodes32 if angle.dtype == np.float32 else self.nodes
        index = np.clip(np.searchsorted(nodes, angle, side="right") - 1, 0, last_cell)
        below = nodes[index]
        return index, np.clip((angle - below) / (nodes[index + 1] - below), 0.0, 1.0)


def _common_step(angles: Sequence[float]) -> float | None:
    """Largest step [deg] that meets every angle, unless that would take too many nodes."""
    fine = [round(angle * _FINEST) for angle in angles]
    if any(abs(angle * _FINEST - whole) > 1e-6 for angle, whole in zip(angles, fine, strict=True)):
        return None
    step = math.gcd(*(whole - fine[0] for whole in fine))
    if step == 0 or (fine[-1] - fine[0]) // step + 1 > max(_REGULAR_LIMIT, len(angles)):
        return None
    return step / _FINEST
