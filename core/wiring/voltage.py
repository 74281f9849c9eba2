"""Voltage lost in the cable: V = 2 L I R along the way to a fixture, each length with the current of what is behind it.

Resistance: NFPA 70 Chapter 9 Table 8, solid copper at 75 degree C. Fixtures draw their highest current, power factor 1.
"""

from __future__ import annotations

from collections.abc import Sequence

from core.plan.plan import Plan
from core.plan.wiring import Circuit
from core.wiring.conductors import OHM_PER_METRE
from core.wiring.load import fixture_amperes
from core.wiring.places import feeders
from core.wiring.routes import Run

__all__ = ["drop_volts", "largest_drop"]


def drop_volts(length: float, amperes: float, conductor: int) -> float:
    """Return the voltage lost in a single-phase cable [V].

    Parameters
    ----------
    length
        One-way length [m].
    amperes
        Current [A].
    conductor
        AWG size of solid copper.
    """
    return 2.0 * length * amperes * OHM_PER_METRE[conductor]


def largest_drop(plan: Plan, circuit: Circuit, runs: Sequence[Run]) -> tuple[float, str]:
    """Return the largest share of the voltage lost on the way to a fixture, and that fixture's id ("" for none)."""
    own = [run for run in runs if run.circuit == circuit.id]
    lost: dict[tuple[str, str], float] = {}
    worst = (0.0, "")
    for run in own:  # runs are in order from the panel outward
        before = lost.get((run.start.id, run.group), lost.get((run.start.id, ""), 0.0))
        here = before + drop_volts(run.length + run.slack, _behind(plan, circuit, run, own), run.conductor)
        lost[run.end.id, run.group] = here
        if run.end.kind == "fixture" and here / circuit.volts > worst[0]:
            worst = (here / circuit.volts, run.end.id)
    return worst


def _behind(plan: Plan, circuit: Circuit, run: Run, runs: Sequence[Run]) -> float:
    """Return the current in a run: all fixtures that it feeds [A]."""
    if run.group:
        fixtures, reached = set[str](), {run.end.id}
        while reached:
            fixtures |= reached
            reached = {r.end.id for r in runs if r.group == run.group and r.start.id in reached} - fixtures
    else:
        boxes, reached = set[str](), {run.end.id}
        while reached:
            boxes |= reached
            reached = {r.end.id for r in runs if r.group == "" and r.start.id in reached} - boxes
        groups = {r.group for r in runs if r.group and r.start.id in boxes and _enters(r, runs)}
        fixtures = {r.end.id for r in runs if r.group in groups}
    heads = feeders(plan)
    return sum(fixture_amperes(plan, f, circuit.volts) for f in plan.fixtures if heads[f.id] in fixtures)


def _enters(run: Run, runs: Sequence[Run]) -> bool:
    """Whether the group's power enters where this run begins: none of the group's runs ends there."""
    return not any(other.group == run.group and other.end.id == run.start.id for other in runs)
