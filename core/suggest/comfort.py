"""What a layout is like to work in: body shadow at every bench, glare where somebody stands, the circuits it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from core.plan import Plan
from core.wiring.assumed import RECEPTACLES, with_assumptions
from core.wiring.load import fixture_amperes
from core.wiring.places import is_plugged_in

__all__ = ["CircuitNeed", "Comfort", "circuit_need"]


@dataclass(frozen=True, slots=True)
class Comfort:
    """Figures of one layout with everything on, at full quality; what was not asked for is left out.

    ``shadows`` are (bench id, share of the light at the hands that the body takes); ``glare`` the worst UGR of any
    standing place or view, ``glare_at`` its name.
    """

    shadows: tuple[tuple[str, float], ...] = ()
    glare: float | None = None
    glare_at: str = ""

    @property
    def worst_shadow(self) -> float | None:
        """The largest share that the body takes at the hands at any bench."""
        return max((share for _, share in self.shadows), default=None)

    def as_data(self, plan: Plan) -> dict[str, Any]:
        """Return the figures as plain data."""
        names = {bench.id: bench.name for bench in plan.benches()}
        found: dict[str, Any] = {}
        if self.shadows:
            found["body_shadow"] = [
                {"name": names.get(bench, bench), "share": round(share, 4)} for bench, share in self.shadows
            ]
        if self.glare is not None:
            found["glare_ugr"], found["glare_at"] = round(self.glare, 2), self.glare_at
        return found


@dataclass(frozen=True, slots=True)
class CircuitNeed:
    """All wired lights at their highest setting [A], what one circuit may carry [A], and how many it takes."""

    amperes: float
    limit: float
    circuits: int


def circuit_need(plan: Plan) -> CircuitNeed | None:
    """Return how many circuits the lights of a plan need; None where none are wired.

    One circuit is taken to be like the first that feeds lights, the plan's own or the assumed one; it carries 80 % of
    its breaker where lights burn long (`core.wiring.load`). A switch stays on one circuit unless it is too much for
    any. Switches are packed largest first, which may come out one circuit high.
    """
    lit = [fixture for fixture in plan.fixtures if not is_plugged_in(plan, fixture)]
    letters = {fixture.group for fixture in lit}
    wiring = with_assumptions(plan).wiring
    circuits = [circuit for circuit in wiring.circuits if letters & set(circuit.groups) and circuit.id != RECEPTACLES]
    if not circuits:
        return None
    first = circuits[0]
    limit = first.breaker * (wiring.code.continuous_share if first.continuous else 1.0)
    loads = dict.fromkeys(sorted(letters), 0.0)
    for fixture in lit:
        loads[fixture.group] += fixture_amperes(plan, fixture, first.volts)
    left = [max(0.0, limit - sum(other.amperes for other in first.others))]
    parts = [part for load in loads.values() for part in _divided(load, limit)]
    used = 0
    for part in sorted(parts, reverse=True):
        fits = next((k for k, room in enumerate(left) if part <= room + 1e-9), None)
        if fits is None:
            left.append(limit)
            fits = len(left) - 1
        left[fits] -= part
        used = max(used, fits + 1)
    return CircuitNeed(sum(loads.values()), limit, used)


def _divided(load: float, limit: float) -> list[float]:
    count = max(1, math.ceil(load / limit - 1e-9))
    return [load / count] * count
