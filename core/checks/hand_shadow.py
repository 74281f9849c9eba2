"""The shadow of a hand or a square held over the work: how hard it is, and on which side it falls.

At the spot where the hands work the light of each fixture is known. A shadow is hard where one fixture gives most of
the light and is small: the penumbra of an edge held t above the bench under a flat opening of width w, H above the
bench, is t w / (H - t) wide (similar triangles). Many fixtures make many faint shadows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.checks.standing import Stand
from core.light.grid import FloatArray
from core.light.sources import Source

__all__ = ["HELD", "MATTERS", "HandShadow", "hand_shadow"]

HELD = 0.1016
"""The thing is held 4 in above the bench [m]."""
MATTERS = 0.05
"""A fixture matters that gives this share of the light at the hands (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HandShadow:
    """``fixture`` gives the largest ``share`` of the light at the hands; ``matter`` fixtures give 5 % or more.

    ``penumbra`` [m] is the narrower of the two widths under that fixture, ``penumbra_wide`` the other. ``hand_side`` is
    the share of the direct light that comes from the side of the working hand, ``other_side`` from the other.
    """

    fixture: int
    share: float
    matter: int
    penumbra: float
    penumbra_wide: float
    hand_side: float
    other_side: float


def hand_shadow(
    stand: Stand, sources: tuple[Source, ...], direct: FloatArray, total: FloatArray, hand: str
) -> HandShadow | None:
    """Return the shadow at the hands; None in the dark.

    Parameters
    ----------
    direct : (fixtures,)
        Direct light at the hands at the present setting [lx].
    total : (fixtures,)
        All light there [lx].
    hand : 'left' or 'right'
    """
    whole = float(total.sum())
    if whole <= 0.0 or not sources:
        return None
    best = int(direct.argmax())
    source = sources[best]
    high = source.centre[2] - stand.item.top
    widths = sorted((2.0 * source.half_length, 2.0 * source.half_width))
    narrow, wide = (HELD * w / (high - HELD) if high > HELD else math.inf for w in widths)
    right = np.array([stand.ahead[1], -stand.ahead[0]])
    aside = np.array([(np.array(s.centre[:2]) - stand.hands[:2]) @ right for s in sources])
    if hand == "left":
        aside = -aside
    straight = max(float(direct.sum()), 1e-9)
    far = np.array([0.25 * abs(s.centre[2] - stand.item.top) for s in sources])
    return HandShadow(
        best,
        float(direct[best]) / whole,
        int((total >= MATTERS * whole).sum()),
        narrow,
        wide,
        float(direct[aside > far].sum()) / straight,
        float(direct[aside < -far].sum()) / straight,
    )
