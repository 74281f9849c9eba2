"""The rows of circuits.csv and cable.csv.

Lengths in feet, as cable is sold; cable that is there is left out."""

from __future__ import annotations

from core.plan.plan import Plan
from core.tables import Cell
from core.units import FOOT
from core.wiring.places import Place
from core.wiring.routes import Run
from core.wiring.wired import Wired

__all__ = [
    "CABLE_COLUMNS",
    "CIRCUIT_COLUMNS",
    "CONTROL_CABLE",
    "cable_rows",
    "circuit_rows",
]

CIRCUIT_COLUMNS = (
    "circuit",
    "breaker_a",
    "conductor",
    "groups",
    "load_a",
    "limit_a",
    "share",
    "voltage_drop_pct",
    "note",
)
CABLE_COLUMNS = ("from", "to", "type", "length_ft", "slack_ft", "note")
CONTROL_CABLE = "0-10 V pair 18/2"

Row = tuple[Cell, ...]


def circuit_rows(plan: Plan, done: Wired) -> list[Row]:
    """Return one row a circuit: load at the highest settings against what the breaker allows."""
    rows: list[Row] = []
    for circuit, load, (drop, _) in zip(done.circuits, done.loads, done.drops, strict=True):
        notes = [
            f"{circuit.volts} V",
            "lights 3 h or more" if circuit.continuous else "lights less than 3 h at a time",
        ]
        if circuit.id in done.assumed:
            notes.append("assumed, not yet decided")
        if drop > done.wiring.code.drop_mentioned:
            notes.append(f"voltage drop above {100 * done.wiring.code.drop_mentioned:g} %")
        notes += [finding.what for finding in done.findings if circuit.id in finding.ids and "drop" not in finding.what]
        rows.append(
            (
                circuit.name,
                circuit.breaker,
                f"{circuit.conductor} AWG Cu",
                " ".join(circuit.groups),
                round(load.total, 3),
                round(load.limit, 3),
                round(load.share, 4),
                round(100.0 * drop, 2),
                "; ".join(dict.fromkeys(notes)),
            )
        )
    return rows


def cable_rows(plan: Plan, done: Wired) -> list[Row]:
    """Return one row for each length of cable still to be laid; the length is the route's, without slack."""
    rows: list[Row] = []
    names = {circuit.id: circuit.name for circuit in done.circuits}
    for run in done.routing.runs:
        if run.to_buy <= 0.0:
            continue
        ends = (_end(run.start), _end(run.end))
        length, slack = round(run.length / FOOT, 2), round(run.slack / FOOT, 2)
        rows.append((*ends, run.cable, length, slack, _note(run, names[run.circuit])))
        if run.has_control:
            rows.append((*ends, CONTROL_CABLE, length, slack, f"group {run.group}, beside the cable"))
    return rows


def _end(place: Place) -> str:
    return place.id if place.kind == "fixture" else place.name


def _note(run: Run, circuit: str) -> str:
    parts = [run.role, f"group {run.group}" if run.group else "", circuit]
    if run.joists_crossed:
        parts.append(f"crosses {run.joists_crossed} joists")
    return "; ".join(part for part in (*parts, run.note) if part)
