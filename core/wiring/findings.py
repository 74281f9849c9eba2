"""What is not right with the wiring, each with the figure, the target, the article, the cause and what to do.

Articles are those of NFPA 70 as read in secondary sources; editions differ and move them. Local code goes first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from core.plan.plan import Plan
from core.plan.wiring import Circuit, Wiring
from core.units import FOOT
from core.wiring.assumed import plug_in_groups, wired_groups
from core.wiring.boxes import BoxFill
from core.wiring.conductors import MOST_BREAKER
from core.wiring.dimming import Control
from core.wiring.load import CircuitLoad
from core.wiring.routes import Routing

__all__ = ["Severity", "WiringFinding", "found"]

Severity = Literal["danger", "fault", "note"]
_ORDER = {"danger": 0, "fault": 1, "note": 2}
LOAD_ARTICLES = "NFPA 70, 210.19(A)(1) and 210.20(A)"


@dataclass(frozen=True, slots=True)
class WiringFinding:
    """One finding; ``ids`` are things on the plan that it is about (fixtures, boxes, circuits, machines)."""

    severity: Severity
    where: str
    what: str
    figure: float | None
    unit: str
    target: float | None
    source: str
    cause: str
    remedy: str
    ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that findings are made from."""

    plan: Plan
    wiring: Wiring
    said: tuple[str, ...]
    loads: tuple[CircuitLoad, ...]
    drops: dict[str, float]
    laid: Routing
    boxes: tuple[BoxFill, ...]
    controls: tuple[Control, ...]


def found(evidence: Evidence) -> tuple[WiringFinding, ...]:
    """Return all findings, the most important first."""
    sources = (
        _overloads,
        _breakers,
        _thin_leads,
        _machines,
        _garage,
        _drops,
        _dimming,
        _boxes,
        _closed,
        _leads,
        _switched,
        _missing,
    )
    findings = [finding for source in sources for finding in source(evidence)]
    return tuple(sorted(findings, key=lambda finding: _ORDER[finding.severity]))


def _overloads(e: Evidence) -> Iterator[WiringFinding]:
    for circuit, load in zip(e.wiring.circuits, e.loads, strict=True):
        if load.is_too_much:
            long = f"burn three hours or more, so {100 * e.wiring.code.continuous_share:.0f} % of the breaker counts"
            yield WiringFinding(
                "danger",
                circuit.name,
                "More load than the breaker may carry",
                load.total,
                "A",
                load.limit,
                LOAD_ARTICLES,
                f"{load.lights:.1f} A of lights at their highest setting and {load.others:.1f} A of other loads"
                + (f"; the lights {long}" if circuit.continuous else ""),
                "Put a group on another circuit.",
                (circuit.id, *_fixtures_on(e.plan, circuit)),
            )


def _breakers(e: Evidence) -> Iterator[WiringFinding]:
    for circuit in e.wiring.circuits:
        most = MOST_BREAKER[circuit.conductor]
        if circuit.breaker > most:
            yield WiringFinding(
                "danger",
                circuit.name,
                f"The breaker is too large for {circuit.conductor} AWG copper",
                circuit.breaker,
                "A",
                most,
                "NFPA 70, 240.4(D)",
                "The breaker protects the cable, which would overheat first.",
                f"Take a {most} A breaker, or thicker cable on the whole circuit.",
                (circuit.id,),
            )


def _thin_leads(e: Evidence) -> Iterator[WiringFinding]:
    for lead in e.wiring.leads:
        circuit = next((known for known in e.wiring.circuits if lead.group in known.groups), None)
        most = MOST_BREAKER[lead.conductor]
        if circuit is not None and circuit.breaker > most:
            yield WiringFinding(
                "danger",
                circuit.name,
                f"The lead of group {lead.group} is too thin for the breaker",
                circuit.breaker,
                "A",
                most,
                "NFPA 70, 240.4(D)",
                f"The lead that was left above the ceiling is {lead.conductor} AWG copper.",
                f"Take a {most} A breaker for this circuit, or replace the lead.",
                (circuit.id,),
            )


def _machines(e: Evidence) -> Iterator[WiringFinding]:
    names = {item.id: item.name for item in e.plan.furniture}
    wired = set(wired_groups(e.plan))
    for circuit in e.wiring.circuits:
        if not wired & set(circuit.groups):
            continue
        for other in circuit.others:
            if other.machine in names:
                yield WiringFinding(
                    "danger",
                    circuit.name,
                    f"{names[other.machine]} is on the lights' circuit",
                    other.amperes,
                    "A",
                    0.0,
                    "common practice, no source",
                    "A tripped breaker would leave the room dark while the blade still turns.",
                    "Give machines a circuit of their own.",
                    (circuit.id, other.machine),
                )


def _garage(e: Evidence) -> Iterator[WiringFinding]:
    wired = set(wired_groups(e.plan))
    for circuit in e.wiring.circuits:
        lights = [letter for letter in circuit.groups if letter in wired]
        if circuit.garage_receptacles and lights:
            yield WiringFinding(
                "danger",
                circuit.name,
                "Lights are on the garage's required receptacle circuit",
                float(len(lights)),
                "groups",
                0.0,
                "NFPA 70, 210.11(C)(4), 2017 edition and later",
                f"Groups {', '.join(lights)} are wired to the circuit that may feed no other outlets.",
                "Put the lights on a circuit of their own.",
                (circuit.id, *_fixtures_on(e.plan, circuit)),
            )


def _drops(e: Evidence) -> Iterator[WiringFinding]:
    for circuit in e.wiring.circuits:
        drop = e.drops[circuit.id]
        if drop > e.wiring.code.drop_mentioned:
            yield WiringFinding(
                "note",
                circuit.name,
                "Much voltage is lost on the way to the farthest fixture",
                100.0 * drop,
                "%",
                100.0 * e.wiring.code.drop_mentioned,
                "NFPA 70, informational note to 210.19 (not enforceable by itself)",
                "Long or thin cable for this load.",
                "Take thicker cable, or two circuits.",
                (circuit.id,),
            )


def _dimming(e: Evidence) -> Iterator[WiringFinding]:
    labels = {group.letter: f"{group.letter} {group.label}".strip() for group in e.plan.groups}
    for control in e.controls:
        if control.trouble:
            yield WiringFinding(
                "fault",
                labels[control.group],
                "Dimmer and fixtures do not go together",
                None,
                "",
                None,
                "the makers' data sheets",
                f"Of this group, {control.trouble}.",
                "Take a dimmer of the fixtures' kind, fixtures of one kind, or a plain switch.",
                tuple(f.id for f in e.plan.fixtures if f.group == control.group),
            )


def _boxes(e: Evidence) -> Iterator[WiringFinding]:
    for box in e.boxes:
        if box.kind != "fixture" and box.pleasant is None:
            yield WiringFinding(
                "fault",
                box.place.name,
                "No standard box holds all of it",
                box.needed,
                "cu in",
                None,
                "NFPA 70, 314.16",
                f"{box.cables} cables and {box.gangs} switches meet here.",
                "Divide it into two boxes.",
                (box.place.id,),
            )


def _closed(e: Evidence) -> Iterator[WiringFinding]:
    if e.plan.ceiling.access != "closed":
        return
    crossing = [run for run in e.laid.runs if run.joists_crossed and run.stage == "to do"]
    if crossing:
        yield WiringFinding(
            "note",
            "Ceiling",
            "Cable has to cross joists above a closed ceiling",
            float(sum(run.joists_crossed for run in crossing)),
            "joists",
            None,
            "common practice, no source",
            f"{len(crossing)} cable runs cross joists, which takes an opening at each joist or another way round.",
            "Open a strip of the ceiling, go through the attic if there is one, or run listed surface raceway.",
            tuple(run.end.id for run in crossing),
        )


def _leads(e: Evidence) -> Iterator[WiringFinding]:
    for run in e.laid.runs:
        if run.start.kind == "lead" and run.stage == "to do":
            yield WiringFinding(
                "note",
                run.start.name,
                "The lead left above the ceiling is too short",
                run.length if e.plan.units == "metric" else run.length / FOOT,
                "m" if e.plan.units == "metric" else "ft",
                None,
                "measured on the plan",
                "It does not reach the first box with its slack.",
                "Splice it in a box that stays accessible (314.29), or move the first fixture nearer.",
                (run.end.id,),
            )


def _switched(e: Evidence) -> Iterator[WiringFinding]:
    if e.plan.fixtures and not wired_groups(e.plan) and e.wiring.premises in ("garage", "accessory building"):
        yield WiringFinding(
            "note",
            "Wiring",
            "No light is on a wall switch",
            0.0,
            "groups",
            None,
            "NFPA 70, 210.70(A)(2)",
            "All fixtures have a plug. A garage with power wants a lighting outlet that a wall switch controls.",
            "Plan one fixture that is wired to a switch by the door.",
            tuple(fixture.id for fixture in e.plan.fixtures),
        )


def _missing(e: Evidence) -> Iterator[WiringFinding]:
    for text in e.said:
        yield WiringFinding(
            "note",
            "Wiring",
            text,
            None,
            "",
            None,
            "assumption of the program",
            "Lengths and loads below rest on it.",
            "Put it on the plan, in the wiring window.",
        )
    for letter in plug_in_groups(e.plan):
        if any(letter in box.groups for box in e.wiring.switch_boxes):
            yield WiringFinding(
                "note",
                f"Group {letter}",
                "A wall switch for lamps with a plug needs a switched receptacle",
                None,
                "",
                None,
                "common practice, no source",
                "All fixtures of this group have a plug; cable to a receptacle is not planned here.",
                "Plan the receptacle with whoever does the wiring, or use the lamps' own switches.",
                tuple(f.id for f in e.plan.fixtures if f.group == letter),
            )


def _fixtures_on(plan: Plan, circuit: Circuit) -> tuple[str, ...]:
    return tuple(f.id for f in plan.fixtures if f.group in circuit.groups)
