"""What the wiring takes: cable, boxes, covers, clamps, connectors, staples, switches, plates and breakers.

Only what is still to be done is counted. Each number follows from `core.wiring`; the rules for small parts are told in
`how`. Staples: one near each end and one for every 4 1/2 ft (334.30), none where cable is fished above a closed
ceiling (334.30(B)(1), from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from core.plan import Plan
from core.shopping.needs import Need, group_names
from core.units import FOOT, INCH
from core.wiring.assumed import wired_groups
from core.wiring.boxes import BoxFill
from core.wiring.dimming import Control
from core.wiring.routes import Run
from core.wiring.standard_boxes import StandardBox, halves
from core.wiring.wired import Wired

__all__ = ["MOST_IN_CONNECTOR", "connectors_for", "staples_for", "wiring_needs"]

MOST_IN_CONNECTOR = 5
_SWITCHES = {
    "switch": "Wall switch",
    "switch three-way": "Wall switch, three-way",
    "switch four-way": "Wall switch, four-way",
}
_GANGS = {1: "one", 2: "two", 3: "three", 4: "four"}


def wiring_needs(plan: Plan, done: Wired) -> Iterator[Need]:
    """Yield everything that the wiring still takes."""
    to_lay = [run for run in done.routing.runs if run.to_buy > 0.0]
    yield from _cable(plan, done, to_lay)
    yield from _boxes(plan, done)
    yield from _small_parts(plan, done, to_lay)
    yield from _devices(plan, done)
    yield from _plates(plan, done)
    yield from _breakers(plan, done)


def staples_for(lengths: Sequence[float], spacing: float) -> int:
    """Return the staples for lengths of cable [m]: one near each end, and one for every ``spacing`` of all of it."""
    return 2 * len(lengths) + math.ceil(sum(lengths) / spacing - 1e-9) if lengths else 0


def connectors_for(ends: int, most: int = MOST_IN_CONNECTOR) -> int:
    """Return the connectors that join this many wire ends; each further one takes a jumper from the one before."""
    if ends < 2:
        return 0
    return 1 if ends <= most else 1 + math.ceil((ends - most) / (most - 2))


def _cable(plan: Plan, done: Wired, runs: Sequence[Run]) -> Iterator[Need]:
    kinds: dict[str, list[Run]] = {}
    for run in runs:
        kinds.setdefault(f"cable {run.conductor}/{run.wires}", []).append(run)
    controls = [run for run in runs if run.has_control]
    if controls:
        kinds["cable 18/2 control"] = controls
    waste = done.wiring.code.waste
    for key, alike in sorted(kinds.items()):
        lengths = tuple(run.to_buy * (1.0 + waste) / FOOT for run in alike)
        routed = sum(run.length for run in alike) / FOOT
        slack = sum(run.slack for run in alike) / FOOT
        yield Need(
            key,
            f"Cable {key.removeprefix('cable ')}",
            "cable",
            group_names(plan, {run.group for run in alike if run.group}) or "feed",
            math.ceil(sum(lengths) - 1e-6),
            unit="ft",
            why="0-10 V pair beside the cable, from the dimmer on." if "control" in key else "From box to box.",
            how=f"{len(alike)} lengths: {routed:.1f} ft on the way + {slack:.1f} ft slack, + {100 * waste:g} % waste",
            note=f"longest length {max(lengths):.0f} ft",
            places=tuple(dict.fromkeys(run.end.id for run in alike)),
            lengths=lengths,
        )


def _boxes(plan: Plan, done: Wired) -> Iterator[Need]:
    kinds: dict[StandardBox, list[BoxFill]] = {}
    for box in done.boxes:
        if box.kind != "fixture" and box.stage == "to do":
            for bought in _bought(box):
                kinds.setdefault(bought, []).append(box)
    for bought, alike in kinds.items():
        places = {box.place.id: box for box in alike}
        divided = sum(box.pleasant is None for box in places.values())
        fullest = max(box.needed for box in alike)
        how = f"{len(places)} places; the fullest needs {fullest:g} cu in, this is the next size above the smallest"
        if divided:
            how = f"{len(places)} places, {divided} of them divided into two boxes, as none holds {fullest:g} cu in"
        yield Need(
            bought.id,
            bought.name,
            "boxes",
            group_names(plan, [letter for box in places.values() for letter in box.groups]),
            len(alike),
            why="Every splice and every switch is in a box (NFPA 70, 300.15).",
            how=how,
            places=tuple(places),
        )
    spliced = [box for box in done.boxes if box.place.kind == "lead"]
    if spliced:
        yield Need(
            "cover blank",
            "Blank box cover",
            "boxes",
            group_names(plan, [letter for box in spliced for letter in box.groups]),
            len(spliced),
            why="A box without a fixture is closed and stays within reach (314.25, 314.29).",
            how=f"{len(spliced)} leads are spliced on",
            places=tuple(box.place.id for box in spliced),
        )


def _bought(box: BoxFill) -> tuple[StandardBox, ...]:
    """Return the boxes that are bought for a place: two where no single one holds all of it."""
    if box.pleasant is not None:
        return (box.pleasant,)
    half = halves("switch" if box.kind == "switch" else "ceiling", box.gangs, box.closed)
    return half, half


def _small_parts(plan: Plan, done: Wired, runs: Sequence[Run]) -> Iterator[Need]:
    touched = {run.id for run in runs}
    boxes = [box for box in done.boxes if box.stage == "to do" or touched & set(box.runs)]
    new = [box for box in boxes if box.stage == "to do"]
    splices = [splice for box in new for splice in box.splices]
    added = sum(_wires(run) for box in boxes if box.stage != "to do" for run in runs if run.id in box.runs)
    count = sum(connectors_for(splice.ends) for splice in splices) + added
    if count:
        how = f"{len(splices)} splices in {len(new)} boxes, up to {MOST_IN_CONNECTOR} wires in one"
        if added:
            how += f", and one for each of {added} wires of new cable in boxes that are there"
        ids = tuple(box.place.id for box in boxes)
        why = "They join the wires in the boxes."
        yield Need("connector", "Splicing connector", "boxes", "all boxes", count, why=why, how=how, places=ids)
    own = [box for box in boxes if box.kind == "fixture"]
    entries = sum(run.id in box.runs for box in own for run in runs)
    if entries:
        how = f"{entries} cable ends enter {len(own)} fixtures through a knock-out"
        to_spare = _ends_of_mixed_chains(done, own, runs)
        if to_spare:
            how += f", {to_spare} more to be free in which fixture is the last"
            entries += to_spare
        why = "They hold the cable where it enters a fixture, and its sheath off the sharp edge."
        ids = tuple(box.place.id for box in own)
        yield Need("clamp", "Cable clamp", "boxes", "fixtures", entries, why=why, how=how, places=ids)
    code = done.wiring.code
    if runs and plan.ceiling.access != "closed":
        count = staples_for([run.length for run in runs], code.staple_spacing)
        near = f"one within {code.staple_at_box / INCH:.0f} in of each end"
        how = f"{len(runs)} lengths: {near}, and one for every {code.staple_spacing / FOOT:g} ft of cable"
        why = "NM cable is secured (NFPA 70, 334.30)."
        yield Need("staple", "Cable staple", "cable", "all cable", count, why=why, how=how)


def _wires(run: Run) -> int:
    """Return the wires of a cable, its ground and a 0-10 V pair beside it among them."""
    return run.wires + 1 + (2 if run.has_control else 0)


def _ends_of_mixed_chains(done: Wired, own: Sequence[BoxFill], runs: Sequence[Run]) -> int:
    """Return the clamps that are missing to two for each fixture of a chain that ends at a fixture without a box.

    Where boxes and knock-outs are mixed, any fixture may become the last one, with one cable, as the plan grows.
    """
    boxed = {letter for box in done.boxes if box.kind == "ceiling" for letter in box.groups}
    laid = {run.id for run in runs}
    single = [box for box in own if len(laid & set(box.runs)) == 1 and box.cables == 1]
    return sum(bool(boxed & set(box.groups)) for box in single)


def _devices(plan: Plan, done: Wired) -> Iterator[Need]:
    wanted: dict[tuple[str, str], list[tuple[str, str]]] = {}
    wired = set(wired_groups(plan)) - {lead.group for lead in done.wiring.leads}  # a lead is switched already
    for control in done.controls:
        if control.group in wired:
            for key, note, box in _devices_of(done, control):
                if (done.wiring.stage("switch", box) or done.wiring.stage("switch box", box) or "to do") == "to do":
                    wanted.setdefault((key, note), []).append((control.group, box))
    for (key, note), entries in sorted(wanted.items()):
        yield Need(
            key,
            _SWITCHES.get(key, key[:1].upper() + key[1:]),
            "switches",
            group_names(plan, [letter for letter, _ in entries]),
            len(entries),
            why="One for each group in each box that it is switched from.",
            how=f"{len(entries)} places on the walls",
            note=note,
            places=tuple(dict.fromkeys(box for _, box in entries)),
            drop_rank=3 if key.startswith("dimmer") else 0,
        )


def _devices_of(done: Wired, control: Control) -> Iterator[tuple[str, str, str]]:
    """Yield what goes in each box of a group: key, note, id of the box. The dimmer is in the last box."""
    boxes = [box.id for box in done.wiring.switch_boxes if control.group in box.groups]
    for number, box in enumerate(boxes):
        last = number == len(boxes) - 1
        if last and control.kind != "none":
            notes = [control.trouble] if control.trouble else []
            notes += ["three-way rated"] if len(boxes) > 1 else []
            yield f"dimmer {control.kind}", "; ".join(notes), box
        elif len(boxes) == 1:
            yield "switch", control.trouble, box
        else:
            yield "switch three-way" if number == 0 or last else "switch four-way", "", box


def _plates(plan: Plan, done: Wired) -> Iterator[Need]:
    kinds: dict[int, list[BoxFill]] = {}
    for box in done.boxes:
        if box.kind == "switch" and box.stage == "to do":
            for bought in _bought(box):
                kinds.setdefault(bought.gangs, []).append(box)
    for gangs, alike in sorted(kinds.items()):
        places = {box.place.id: box for box in alike}
        yield Need(
            f"plate {gangs}",
            f"Wall plate, {_GANGS.get(gangs, gangs)} gang",
            "switches",
            group_names(plan, [letter for box in places.values() for letter in box.groups]),
            len(alike),
            why="Covers the switches.",
            how="one for each switch box",
            places=tuple(places),
        )


def _breakers(plan: Plan, done: Wired) -> Iterator[Need]:
    wired = set(wired_groups(plan))
    leads = {lead.group for lead in done.wiring.leads}
    kinds: dict[int, list[str]] = {}
    names: dict[int, list[str]] = {}
    for circuit in done.circuits:
        asked = (wired - leads) & set(circuit.groups)
        if asked and (done.wiring.stage("breaker", circuit.id) or "to do") == "to do":
            kinds.setdefault(circuit.breaker, []).append(circuit.id)
            names.setdefault(circuit.breaker, []).append(circuit.name)
    for amperes, circuits in sorted(kinds.items()):
        yield Need(
            f"breaker {amperes} A",
            f"Breaker, {amperes} A",
            "circuits",
            ", ".join(names[amperes]),
            len(circuits),
            why="One for each new circuit; the panel's label says which kind fits.",
            how=_counted(circuits),
            places=tuple(circuits),
        )


def _counted(things: Iterable[str]) -> str:
    count = len(list(things))
    return f"{count} new circuit{'s' if count != 1 else ''}"
