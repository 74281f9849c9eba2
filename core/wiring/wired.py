"""The whole wiring of a plan as one value: loads, runs, boxes, controls and findings, all worked out from the plan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.plan.plan import Plan
from core.plan.wiring import Circuit, Wiring
from core.wiring.assumed import with_assumptions
from core.wiring.boxes import BoxFill, boxes_of
from core.wiring.dimming import Control, control_of
from core.wiring.findings import Evidence, WiringFinding, found
from core.wiring.load import CircuitLoad, circuit_load
from core.wiring.routes import Routing, routing
from core.wiring.voltage import largest_drop

__all__ = ["Wired", "wired"]


@dataclass(frozen=True, slots=True)
class Wired:
    """Everything about the wiring of one plan.

    ``wiring`` is the plan's own with what had to be assumed; ``loads`` and ``drops`` (share of the volts, farthest
    fixture) are in the order of its circuits.
    """

    wiring: Wiring
    assumed: frozenset[str]
    loads: tuple[CircuitLoad, ...]
    drops: tuple[tuple[float, str], ...]
    routing: Routing
    boxes: tuple[BoxFill, ...]
    controls: tuple[Control, ...]
    findings: tuple[WiringFinding, ...]

    @property
    def circuits(self) -> tuple[Circuit, ...]:
        """The branch circuits, assumed ones included."""
        return self.wiring.circuits


@lru_cache(maxsize=8)
def wired(plan: Plan, hasty: bool = False) -> Wired:
    """Work out the wiring of a plan; the same plan is worked out once.

    ``hasty`` is for drawing while something is dragged (`core.wiring.routes.routing`).
    """
    complete = with_assumptions(plan)
    wiring = complete.wiring
    laid = routing(plan, wiring, hasty)
    loads = tuple(circuit_load(plan, circuit, wiring) for circuit in wiring.circuits)
    drops = tuple(largest_drop(plan, circuit, laid.runs) for circuit in wiring.circuits)
    boxes = boxes_of(plan, wiring, laid)
    lit = {fixture.group for fixture in plan.fixtures}
    controls = tuple(control_of(plan, wiring, group) for group in plan.groups if group.letter in lit)
    shares = {circuit.id: drop for circuit, (drop, _) in zip(wiring.circuits, drops, strict=True)}
    evidence = Evidence(plan, wiring, complete.said, loads, shares, laid, boxes, controls)
    return Wired(wiring, complete.assumed, loads, drops, laid, boxes, controls, found(evidence))
