"""Edits of what is decided about the wiring: each makes another Plan of one.

An edit of something that was only assumed first makes the assumptions the plan's own.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Any

from core.plan.plan import Plan
from core.plan.room import Point
from core.plan.settle import settled
from core.plan.wiring import (
    Access,
    Appliance,
    Circuit,
    Dimmer,
    DimmerKind,
    Lead,
    Nameplate,
    Panel,
    Stage,
    StagedThing,
    SwitchBox,
    Wiring,
)
from core.wiring.assumed import with_assumptions
from core.wiring.places import nearest_wall

__all__ = [
    "with_assumed",
    "with_circuit",
    "with_dimmer",
    "with_lead",
    "with_lead_changed",
    "with_nameplate",
    "with_new_circuit",
    "with_others",
    "with_panel_at",
    "with_place_at",
    "with_stages",
    "with_switch_box",
    "with_switch_box_along",
    "with_switch_box_at",
    "with_wall_access",
    "with_wiring",
    "without_circuit",
    "without_lead",
    "without_switch_box",
]


BESIDE_A_DOOR = 0.9144
"""A switch within this distance of a jamb belongs to the door [m]: 3 ft (common practice, no source)."""


def with_wiring(plan: Plan, **values: Any) -> Plan:
    """Set fields of the wiring."""
    return replace(plan, wiring=replace(plan.wiring, **values))


def with_assumed(plan: Plan) -> Plan:
    """Make what is assumed the plan's own, under ids of its own."""
    done = with_assumptions(plan)
    if not done.assumed:
        return plan
    wiring = done.wiring
    boxes = _renamed_boxes(wiring, done.assumed)
    circuits = _renamed_circuits(wiring, done.assumed)
    return replace(plan, wiring=replace(wiring, switch_boxes=boxes, circuits=circuits))


def with_panel_at(plan: Plan, x: float, y: float) -> Plan:
    """Put the panel on the wall nearest to a point [m]."""
    _, (px, py) = nearest_wall(plan.room, x, y)
    panel = replace(plan.wiring.panel or Panel(0.0, 0.0), x=settled(px), y=settled(py))
    return with_wiring(plan, panel=panel)


def with_switch_box_at(plan: Plan, x: float, y: float, letters: Iterable[str]) -> Plan:
    """Put a switch box for some groups on the wall nearest to a point [m]; it belongs to the door beside it, if any.

    Raises
    ------
    ValueError
        If there is no letter of a group among them.
    """
    known = {group.letter for group in plan.groups}
    groups = tuple(dict.fromkeys(letter for letter in letters if letter in known))
    if not groups:
        raise ValueError(f"Name the groups that are switched here, out of {', '.join(sorted(known))}.")
    wall, (px, py) = nearest_wall(plan.room, x, y)
    door = _door_beside(plan, wall, (px, py))
    box = SwitchBox(_fresh(plan.wiring, "switch-box"), settled(px), settled(py), groups, opening=door)
    return with_wiring(plan, switch_boxes=(*plan.wiring.switch_boxes, box))


def with_place_at(plan: Plan, identity: str, x: float, y: float, step: float = 0.0) -> Plan:
    """Move the panel ("panel"), a switch box or a lead to a point [m], what hangs on a wall to the nearest wall.

    With ``step`` [m] a place on a wall is a whole number of steps from where the wall begins. A place that was only
    assumed becomes the plan's own, with all that is assumed.
    """
    own = with_assumed(plan)
    known = [*(box.id for box in plan.wiring.switch_boxes), *(lead.id for lead in plan.wiring.leads)]
    if identity not in known and identity != "panel":
        identity = _taken_over(plan, own, identity)
    if any(lead.id == identity for lead in own.wiring.leads):
        moved = [replace(a, x=settled(x), y=settled(y)) if a.id == identity else a for a in own.wiring.leads]
        return with_wiring(own, leads=tuple(moved))
    wall, (px, py) = nearest_wall(plan.room, x, y)
    if step > 0.0:
        px, py = _in_steps(plan, wall, (px, py), step)
    at: dict[str, Any] = {"x": settled(px), "y": settled(py)}
    if identity == "panel":
        return with_wiring(own, panel=replace(own.wiring.panel or Panel(0.0, 0.0), **at))
    door = _door_beside(plan, wall, (px, py))
    return with_switch_box(own, identity, **at, **({"opening": door} if door else {}))


def with_switch_box_along(plan: Plan, identity: str, along: float) -> Plan:
    """Put a switch box ``along`` [m] from where its wall begins.

    Raises
    ------
    ValueError
        If the wall ends before that.
    """
    box = next(known for known in plan.wiring.switch_boxes if known.id == identity)
    a, b = plan.room.wall(nearest_wall(plan.room, box.x, box.y)[0])
    long = math.dist(a, b)
    if not 0.0 <= along <= long + 1e-9:
        raise ValueError("The wall ends before that.")
    share = min(along / long, 1.0) if long > 0.0 else 0.0
    return with_switch_box(
        plan, identity, x=settled(a[0] + share * (b[0] - a[0])), y=settled(a[1] + share * (b[1] - a[1]))
    )


def _door_beside(plan: Plan, wall: int, point: Point) -> str:
    """Return the id of the door whose jamb is within reach of a place on the same wall, "" for none."""
    along = math.dist(plan.room.wall(wall)[0], point)
    near = []
    for opening in plan.room.openings:
        if opening.wall == wall and opening.kind != "window":
            gap = max(opening.start - along, along - opening.start - opening.width)
            if gap <= BESIDE_A_DOOR:
                near.append((gap, opening.id))
    return min(near)[1] if near else ""


def _taken_over(plan: Plan, own: Plan, identity: str) -> str:
    """Return the id under which an assumed switch box has become the plan's own."""
    before = [box.id for box in with_assumptions(plan).wiring.switch_boxes]
    return own.wiring.switch_boxes[before.index(identity)].id


def _in_steps(plan: Plan, wall: int, point: Point, step: float) -> Point:
    a, b = plan.room.wall(wall)
    long = math.dist(a, b)
    along = min(round(math.dist(a, point) / step) * step, long)
    share = along / long if long > 0.0 else 0.0
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def with_switch_box(plan: Plan, identity: str, **values: Any) -> Plan:
    """Change a switch box."""
    boxes = tuple(replace(box, **values) if box.id == identity else box for box in plan.wiring.switch_boxes)
    return with_wiring(plan, switch_boxes=boxes)


def without_switch_box(plan: Plan, identity: str) -> Plan:
    """Remove a switch box."""
    return with_wiring(plan, switch_boxes=tuple(box for box in plan.wiring.switch_boxes if box.id != identity))


def with_new_circuit(plan: Plan) -> Plan:
    """Add an empty lighting circuit."""
    number = len(plan.wiring.circuits) + 1
    circuit = Circuit(_fresh(plan.wiring, "circuit"), f"Circuit {number}")
    return with_wiring(plan, circuits=(*plan.wiring.circuits, circuit))


def with_circuit(plan: Plan, identity: str, **values: Any) -> Plan:
    """Change a circuit; groups that it takes over leave the circuit that they were on."""
    taken = set(values.get("groups", ()))
    circuits = tuple(
        replace(circuit, **values)
        if circuit.id == identity
        else replace(circuit, groups=tuple(letter for letter in circuit.groups if letter not in taken))
        for circuit in plan.wiring.circuits
    )
    return with_wiring(plan, circuits=circuits)


def without_circuit(plan: Plan, identity: str) -> Plan:
    """Remove a circuit; its groups are then on none."""
    return with_wiring(plan, circuits=tuple(circuit for circuit in plan.wiring.circuits if circuit.id != identity))


def with_lead(plan: Plan, letter: str, x: float, y: float, length: float) -> Plan:
    """Say that a switched cable end was left above the ceiling for a group; it takes the place of an older one.

    Raises
    ------
    ValueError
        If there is no such group.
    """
    if all(group.letter != letter for group in plan.groups):
        raise ValueError(f"There is no group {letter}.")
    others = tuple(lead for lead in plan.wiring.leads if lead.group != letter)
    lead = Lead(f"lead-{letter}", letter, settled(x), settled(y), settled(length))
    return with_wiring(plan, leads=(*others, lead))


def with_lead_changed(plan: Plan, identity: str, **values: Any) -> Plan:
    """Change a lead."""
    leads = tuple(replace(lead, **values) if lead.id == identity else lead for lead in plan.wiring.leads)
    return with_wiring(plan, leads=leads)


def without_lead(plan: Plan, identity: str) -> Plan:
    """Forget a lead."""
    return with_wiring(plan, leads=tuple(lead for lead in plan.wiring.leads if lead.id != identity))


def with_nameplate(plan: Plan, model: str, amperes: float | None) -> Plan:
    """Say which amperes are printed on a model; None counts its highest watts again."""
    others = tuple(plate for plate in plan.wiring.nameplates if plate.model != model)
    return with_wiring(plan, nameplates=others if amperes is None else (*others, Nameplate(model, amperes)))


def with_wall_access(plan: Plan, wall: int, access: Access | None) -> Plan:
    """Say how one wall can be reached; None: as the other walls."""
    known, count = plan.wiring.wall_access, len(plan.room.outline)
    own = [known[number] if number < len(known) else None for number in range(count)]
    own[wall] = access
    return with_wiring(plan, wall_access=tuple(own) if any(own) else ())


def with_others(plan: Plan, identity: str, others: Iterable[tuple[str, float]]) -> Plan:
    """Say what else is on a circuit: names and amperes; a name of a machine on the plan is that machine."""
    machines = {item.name.casefold(): item.id for item in plan.furniture if item.kind == "machine"}
    loads = tuple(Appliance(name, amperes, machines.get(name.casefold(), "")) for name, amperes in others)
    return with_circuit(plan, identity, others=loads)


def with_dimmer(plan: Plan, letter: str, kind: DimmerKind | None, most_watts: float = 0.0) -> Plan:
    """Say which dimmer a group has; None leaves it to what its fixtures ask for."""
    others = tuple(dimmer for dimmer in plan.wiring.dimmers if dimmer.group != letter)
    return with_wiring(plan, dimmers=others if kind is None else (*others, Dimmer(letter, kind, most_watts)))


def with_stages(plan: Plan, things: Iterable[tuple[StagedThing, str]], stage: Stage) -> Plan:
    """Say how far several things are."""
    wiring = plan.wiring
    for thing, at in things:
        wiring = wiring.with_stage(thing, at, stage)
    return replace(plan, wiring=wiring)


def _renamed_boxes(wiring: Wiring, assumed: Collection[str]) -> tuple[SwitchBox, ...]:
    for box in wiring.switch_boxes:
        if box.id in assumed:
            named = replace(box, id=_fresh(wiring, "switch-box"))
            boxes = tuple(named if known is box else known for known in wiring.switch_boxes)
            wiring = replace(wiring, switch_boxes=boxes)
    return wiring.switch_boxes


def _renamed_circuits(wiring: Wiring, assumed: Collection[str]) -> tuple[Circuit, ...]:
    for circuit in wiring.circuits:
        if circuit.id in assumed:
            named = replace(circuit, id=_fresh(wiring, "circuit"))
            circuits = tuple(named if known is circuit else known for known in wiring.circuits)
            wiring = replace(wiring, circuits=circuits)
    return wiring.circuits


def _fresh(wiring: Wiring, prefix: str) -> str:
    taken = {box.id for box in wiring.switch_boxes} | {circuit.id for circuit in wiring.circuits}
    number = 1
    while f"{prefix}-{number}" in taken:
        number += 1
    return f"{prefix}-{number}"
