"""How much of the light at the hands a body takes, estimated from direct light only, quick enough to rank patterns.

At a few points where the hands work, direct light is worked out with and without the body (`core.checks.body_shadow`
does so at all points of the bench). Reflected light is taken to be unchanged, so that the estimate is a little low.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.checks.body_shadow import SPOT, direct_light
from core.checks.standing import body_at, stand_at
from core.light.enclosure import enclose
from core.light.grid import FloatArray
from core.light.quality import QUICK
from core.light.sources import Source
from core.light.visibility import Blockers, blockers_of
from core.plan import Plan

__all__ = ["ShadowGuess"]

_OFFSETS = (-0.5, 0.0, 0.5)
"""Where the points lie across the hands, as shares of the spot's radius."""


class ShadowGuess:
    """The direct light that bodies take at the benches of one room, kept by source; its fixtures do not count."""

    def __init__(self, plan: Plan) -> None:
        self._clear: Blockers = blockers_of(enclose(plan).triangles)
        self.benches: list[str] = []
        self._points: list[FloatArray] = []
        self._blocked: list[Blockers] = []
        for bench in plan.benches():
            stand = stand_at(bench, plan.worker, plan.work_plane)
            if stand is None:
                continue
            across = np.array([stand.ahead[1], -stand.ahead[0], 0.0])
            self._points.append(stand.hands + SPOT * np.array(_OFFSETS)[:, None] * across)
            self._blocked.append(blockers_of(enclose(plan, body_at(plan, stand)).triangles))
            self.benches.append(bench.id)
        self._known: dict[Source, FloatArray] = {}

    def taken(self, source: Source) -> FloatArray:
        """Return the direct light of a source that the body takes at each bench's hands (benches,) [lx]."""
        known = self._known.get(source)
        if known is None:
            pairs = zip(self._points, self._blocked, strict=True)
            known = np.array([self._lost(points, source, blocked) for points, blocked in pairs])
            self._known[source] = known
        return known

    def _lost(self, points: FloatArray, source: Source, blocked: Blockers) -> float:
        clear, shaded = (direct_light(points, (source,), there, QUICK.on_points) for there in (self._clear, blocked))
        return float((clear - shaded).mean())

    def shares(self, sources: Sequence[Source], light: dict[str, float]) -> FloatArray:
        """Return the share that the body takes at each bench (benches,), from the ``light`` [lx] on every bench."""
        lost = np.sum([self.taken(source) for source in sources], axis=0) if sources else np.zeros(len(self.benches))
        whole = np.array([max(light.get(bench, 0.0), 1e-6) for bench in self.benches])
        share: FloatArray = np.clip(lost / whole, 0.0, 1.0)
        return share
