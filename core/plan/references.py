"""What else in a plan refers to things, walls and corners, and how it follows when they go or get another
number.

An id may be given out again after its thing is gone, so nothing may still speak of the old one. Measurements
and as-built places belong to a wall or corner; they keep to it when it is renumbered, and go with it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from core.plan.ceiling import CeilingWork
from core.plan.plan import Plan
from core.plan.wiring import Access, Staged, Wiring

__all__ = ["with_walls_renumbered", "without_references"]


def without_references(plan: Plan, gone: Collection[str]) -> Plan:
    """Return a plan in which nothing about the ceiling or the wiring speaks of the things with these ids."""
    ceiling, wiring = plan.ceiling, plan.wiring
    as_built = tuple(entry for entry in ceiling.as_built if entry.fixture not in gone)
    circuits = tuple(
        replace(circuit, others=tuple(load for load in circuit.others if load.machine not in gone))
        for circuit in wiring.circuits
    )
    boxes = tuple(replace(box, opening="") if box.opening in gone else box for box in wiring.switch_boxes)
    slimmer = replace(
        wiring,
        circuits=circuits,
        switch_boxes=boxes,
        stages=tuple(stage for stage in wiring.stages if not _speaks_of(stage, gone)),
        nameplates=tuple(plate for plate in wiring.nameplates if plate.model not in gone),
    )
    return replace(plan, ceiling=replace(ceiling, as_built=as_built), wiring=slimmer)


def with_walls_renumbered(plan: Plan, walls: Sequence[int | None], corners: Sequence[int | None], count: int) -> Plan:
    """Return a plan whose measurements follow their walls and corners.

    Parameters
    ----------
    walls, corners : sequence of int or None
        New number of each old wall and corner; None for one that is no more, or no more the same.
    count : int
        How many walls there are now.
    """
    if list(walls) == list(corners) == list(range(count)):
        return plan
    ceiling = _renumbered_ceiling(plan.ceiling, walls, corners)
    return replace(plan, ceiling=ceiling, wiring=_renumbered_wiring(plan.wiring, walls, count))


def _renumbered_ceiling(
    ceiling: CeilingWork, walls: Sequence[int | None], corners: Sequence[int | None]
) -> CeilingWork:
    references = None
    if ceiling.reference_walls is not None:
        first, second = (_new(walls, wall) for wall in ceiling.reference_walls)
        references = None if first is None or second is None else (first, second)
    lengths = [
        replace(known, wall=new) for known in ceiling.wall_lengths if (new := _new(walls, known.wall)) is not None
    ]
    diagonals = [
        replace(known, corner=one, other=two)
        for known in ceiling.diagonals
        if (one := _new(corners, known.corner)) is not None and (two := _new(corners, known.other)) is not None
    ]
    as_built = [
        replace(known, wall_a=one, wall_b=two)
        for known in ceiling.as_built
        if (one := _new(walls, known.wall_a)) is not None and (two := _new(walls, known.wall_b)) is not None
    ]
    return replace(
        ceiling,
        reference_walls=references,
        wall_lengths=tuple(lengths),
        diagonals=tuple(diagonals),
        as_built=tuple(as_built),
    )


def _renumbered_wiring(wiring: Wiring, walls: Sequence[int | None], count: int) -> Wiring:
    if not wiring.wall_access:
        return wiring
    access: list[Access | None] = [None] * count
    for old, own in enumerate(wiring.wall_access):
        new = _new(walls, old)
        if new is not None:
            access[new] = own
    return replace(wiring, wall_access=tuple(access))


def _new(numbers: Sequence[int | None], old: int) -> int | None:
    return numbers[old] if 0 <= old < len(numbers) else None


def _speaks_of(stage: Staged, gone: Collection[str]) -> bool:
    return any(end.strip() in gone for end in stage.at.split(">"))
