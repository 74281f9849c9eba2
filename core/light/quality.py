"""How finely the light is worked out: one set of figures for the full picture and one for a quick first one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.light.direct import ShadowRays

__all__ = ["FULL", "QUICK", "Quality"]


@dataclass(frozen=True, slots=True)
class Quality:
    """Sizes and ray counts.

    ``patches`` is the number of patches aimed at, their size kept within ``smallest`` and ``largest`` [m]; each has
    ``side`` x ``side`` tiles. ``patch_rays`` and ``receiver_rays`` are totals, shared out among patches and receivers
    within the given bounds. ``sweeps`` more exchanges are made tile by tile after the patches have settled.
    """

    patches: int
    smallest: float
    largest: float
    side: int
    patch_rays: int
    receiver_rays: int
    fewest_rays: int
    most_rays: int
    sweeps: int
    on_points: ShadowRays
    on_tiles: ShadowRays

    def patch_size(self, area: float) -> float:
        """Return the size of patches for surfaces of ``area`` in all [m2], in m."""
        return min(self.largest, max(self.smallest, math.sqrt(area / self.patches)))

    def rays_each(self, total: int, count: int) -> int:
        """Share out rays among ``count`` patches or receivers."""
        return min(self.most_rays, max(self.fewest_rays, total // max(1, count)))


FULL = Quality(1600, 0.18, 1.2, 3, 1_200_000, 1_000_000, 512, 65_536, 3, ShadowRays(16, 256, 8), ShadowRays(8, 32))
QUICK = Quality(700, 0.22, 2.0, 3, 300_000, 250_000, 128, 4096, 1, FULL.on_points, ShadowRays(4, 8))
