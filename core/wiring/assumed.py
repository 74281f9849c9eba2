"""What the wiring needs and the user has not said yet: panel, switch boxes and circuits are assumed, and said to be.

Assumed: the panel in the room's first corner; the switches in a row beside the first door, on its latch side; lights
in the order of their letters on 15 A circuits, a new one as soon as the next group does not fit (so that more load
never means fewer circuits), on a 20 A one of its own where a single group asks for it;
fixtures with a plug on a receptacle circuit that is there already. Common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from core.plan.plan import Plan
from core.plan.room import Opening, Point
from core.plan.wiring import Circuit, Panel, SwitchBox, Wiring
from core.wiring.load import circuit_load
from core.wiring.places import is_plugged_in

__all__ = ["AssumedWiring", "plug_in_groups", "wired_groups", "with_assumptions"]

BESIDE_THE_DOOR = 0.1524
"""Distance from the jamb to the middle of the box [m]: 6 in, so that it sits on the next stud (common practice)."""
MOST_GANGS = 4
RECEPTACLES = "receptacles-assumed"


@dataclass(frozen=True, slots=True)
class AssumedWiring:
    """A wiring in which nothing is missing, and what had to be assumed for it (ids, and sentences for a person)."""

    wiring: Wiring
    assumed: frozenset[str]
    said: tuple[str, ...]


def wired_groups(plan: Plan) -> tuple[str, ...]:
    """Return the letters of the groups that have fixtures wired by cable, in the order of the letters."""
    return tuple(sorted({f.group for f in plan.fixtures if not is_plugged_in(plan, f)}))


def plug_in_groups(plan: Plan) -> tuple[str, ...]:
    """Return the letters of the groups all of whose fixtures have a plug."""
    return tuple(sorted({f.group for f in plan.fixtures} - set(wired_groups(plan))))


def with_assumptions(plan: Plan) -> AssumedWiring:
    """Return the plan's wiring with everything filled in that the user has left open."""
    wiring, said, assumed = plan.wiring, [], set[str]()
    if wiring.panel is None:
        x, y = plan.room.outline[0]
        wiring = replace(wiring, panel=Panel(x, y))
        assumed.add("panel")
        said.append("The panel is not on the plan: the first corner of the room is assumed.")
    boxes = _missing_boxes(plan, wiring)
    if boxes:
        wiring = replace(wiring, switch_boxes=(*wiring.switch_boxes, *boxes))
        assumed |= {box.id for box in boxes}
        letters = ", ".join(letter for box in boxes for letter in box.groups)
        said.append(f"Switches {letters} are not on a wall yet: a place beside the door is assumed.")
    circuits = _missing_circuits(plan, wiring)
    if circuits:
        wiring = replace(wiring, circuits=(*wiring.circuits, *circuits))
        assumed |= {circuit.id for circuit in circuits}
        letters = ", ".join(letter for circuit in circuits for letter in circuit.groups)
        said.append(f"Groups {letters} are on no circuit yet: circuits are assumed for them.")
    return AssumedWiring(wiring, frozenset(assumed), tuple(said))


def _missing_boxes(plan: Plan, wiring: Wiring) -> tuple[SwitchBox, ...]:
    placed = {letter for box in wiring.switch_boxes for letter in box.groups}
    placed |= {lead.group for lead in wiring.leads}
    left = [letter for letter in wired_groups(plan) if letter not in placed]
    (x, y), door = _beside_the_door(plan)
    rows = [tuple(left[n : n + MOST_GANGS]) for n in range(0, len(left), MOST_GANGS)]
    return tuple(SwitchBox(f"switches-assumed-{n + 1}", x, y, row, opening=door) for n, row in enumerate(rows))


def _beside_the_door(plan: Plan) -> tuple[Point, str]:
    """Return the place for the switches, and the id of the door."""
    doors = [o for o in plan.room.openings if o.kind == "door" and o.wall < len(plan.room.outline)]
    doors += [o for o in plan.room.openings if o.kind == "overhead door" and o.wall < len(plan.room.outline)]
    if not doors:
        (ax, ay), (bx, by) = plan.room.wall(0)
        return ((ax + bx) / 2, (ay + by) / 2), ""
    door = doors[0]
    a, b = plan.room.wall(door.wall)
    long = math.dist(a, b)
    along = _latch_side(door, long) / long
    return (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])), door.id


def _latch_side(door: Opening, wall: float) -> float:
    before, after = door.start - BESIDE_THE_DOOR, door.start + door.width + BESIDE_THE_DOOR
    wanted, other = (after, before) if door.hinge == "start" else (before, after)
    fits = [along for along in (wanted, other) if 0.0 <= along <= wall]
    return fits[0] if fits else min(max(wanted, 0.0), wall)


def _missing_circuits(plan: Plan, wiring: Wiring) -> tuple[Circuit, ...]:
    on_one = {letter for circuit in wiring.circuits for letter in circuit.groups}
    made: list[Circuit] = []
    is_open = False
    for letter in wired_groups(plan):
        if letter in on_one:
            continue
        wider = replace(made[-1], groups=(*made[-1].groups, letter)) if is_open else None
        if wider is not None and not circuit_load(plan, wider, wiring).is_too_much:
            made[-1] = wider
            continue
        number = len(wiring.circuits) + len(made) + 1
        alone = Circuit(f"lights-assumed-{len(made) + 1}", f"Lights {number}", groups=(letter,))
        is_open = not circuit_load(plan, alone, wiring).is_too_much
        made.append(alone if is_open else replace(alone, breaker=20, conductor=12))
    plugged = tuple(letter for letter in plug_in_groups(plan) if letter not in on_one)
    if plugged:
        made.append(Circuit(RECEPTACLES, "Receptacles, there already", 20, 12, groups=plugged, continuous=True))
    return tuple(made)
