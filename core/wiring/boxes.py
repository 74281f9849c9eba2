"""Box fill: conductors and devices in each box, the volume that they need, and the boxes that have it.

NFPA 70, 314.16(B): every conductor that comes in from outside counts once, at its own size; all clamps together once,
at the largest size in the box; each device twice, at the largest size on it; up to four grounds together once, each
further one a quarter (2020 edition and later). Pigtails, connectors, the sheath and a fixture's own short wires do not
count. Clamps are counted in every box, which is on the safe side for boxes without any. A 0-10 V pair counts as two
18 AWG conductors; whether it may share the box at all, the dimmer's and the fixture's instructions say.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from core.plan.plan import Plan
from core.plan.wiring import Stage, Wiring
from core.wiring.conductors import CONTROL_PAIR_AWG, ROOM_IN3
from core.wiring.places import Place, has_own_compartment
from core.wiring.routes import Routing, Run
from core.wiring.standard_boxes import StandardBox, fitting

__all__ = ["BoxFill", "FillKind", "Splice", "boxes_of", "fill_volume"]

CLOSED = ("closed",)
FillKind = Literal["switch", "ceiling", "fixture"]


@dataclass(frozen=True, slots=True)
class Splice:
    """Wire ends that are joined under one connector: what they are, and how many."""

    what: str
    ends: int


@dataclass(frozen=True, slots=True)
class BoxFill:
    """One box, or (kind "fixture") the wiring compartment of a fixture, whose room its listing has seen to.

    ``conductors`` counts by AWG size, without grounds; ``needed`` is the volume [in³].

    ``smallest`` and ``pleasant`` are None where no standard box holds it. ``runs`` are the ids of the cables in it.
    """

    place: Place
    kind: FillKind
    gangs: int
    conductors: tuple[tuple[int, int], ...]
    grounds: int
    largest: int
    allowances: float
    needed: float
    smallest: StandardBox | None
    pleasant: StandardBox | None
    closed: bool
    stage: Stage
    cables: int
    splices: tuple[Splice, ...] = ()
    runs: tuple[str, ...] = ()
    groups: tuple[str, ...] = field(default=())


def fill_volume(conductors: Sequence[tuple[int, int]], grounds: int, yokes: int, clamp: bool, device_awg: int) -> float:
    """Return the volume that a box needs [in³].

    Parameters
    ----------
    conductors : sequence of (AWG, count)
        Insulated conductors that enter.
    grounds
        Equipment grounds that enter.
    yokes
        Devices, each counted twice at ``device_awg``.
    clamp
        Whether the box has internal clamps.

    Examples
    --------
    Two 12/2 cables, one device, clamps:

    >>> fill_volume([(12, 4)], grounds=2, yokes=1, clamp=True, device_awg=12)
    18.0
    """
    if not conductors:
        return 0.0
    largest = min(awg for awg, _ in conductors)
    volume = sum(count * ROOM_IN3[awg] for awg, count in conductors)
    ground = 0.0 if grounds == 0 else 1.0 + 0.25 * max(grounds - 4, 0)
    return volume + (ground + (1.0 if clamp else 0.0)) * ROOM_IN3[largest] + 2 * yokes * ROOM_IN3[device_awg]


def boxes_of(plan: Plan, wiring: Wiring, laid: Routing) -> tuple[BoxFill, ...]:
    """Return every box that the cables need, in the order in which the power reaches them.

    All ceiling boxes of one surface are chosen with room for a second cable, so that one kind is bought for the ends
    of chains too.
    """
    ends: dict[str, list[Run]] = {}
    places: dict[str, Place] = {}
    for run in laid.runs:
        for place in (run.start, run.end):
            if place.kind != "panel":
                ends.setdefault(place.id, []).append(run)
                places[place.id] = place
    found = []
    for identity, runs in ends.items():
        place = places[identity]
        if place.kind == "switch box":
            found.append(_switch_box(wiring, place, runs))
        elif place.kind == "fixture":
            found.append(_fixture_box(plan, wiring, place, runs))
        elif place.kind == "lead" and any(run.stage == "to do" for run in runs):
            found.append(_lead_box(plan, place, runs))
    return tuple(found)


def _switch_box(wiring: Wiring, place: Place, runs: Sequence[Run]) -> BoxFill:
    box = next(known for known in wiring.switch_boxes if known.id == place.id)
    used = tuple(letter for letter in box.groups if any(run.group == letter for run in runs))
    closed = place.wall is not None and wiring.access_of_wall(place.wall) in CLOSED
    stage = wiring.stage("switch box", place.id) or "to do"
    return _fill(place, "switch", max(len(used), 1), runs, closed, stage, _switch_splices(used, runs), used)


def _fixture_box(plan: Plan, wiring: Wiring, place: Place, runs: Sequence[Run]) -> BoxFill:
    closed = plan.ceiling.access in CLOSED
    stage = wiring.stage("fixture box", place.id) or wiring.stage("fixture", place.id) or "to do"
    splices = [Splice(what, len(runs) + 1) for what in ("hot", "neutral", "ground")]
    controls = sum(run.has_control for run in runs)
    if controls:
        splices += [Splice(what, controls + 1) for what in ("control +", "control -")]
    kind: FillKind = "fixture" if has_own_compartment(plan, plan.fixture(place.id)) else "ceiling"
    return _fill(place, kind, 0, runs, closed, stage, tuple(splices), (plan.fixture(place.id).group,))


def _lead_box(plan: Plan, place: Place, runs: Sequence[Run]) -> BoxFill:
    """The box where a lead that is too short is spliced on: the lead is one more cable in it."""
    splices = tuple(Splice(what, len(runs) + 1) for what in ("hot", "neutral", "ground"))
    closed = plan.ceiling.access in CLOSED
    return _fill(place, "ceiling", 0, (runs[0], *runs), closed, "to do", splices, (runs[0].group,))


def _fill(
    place: Place,
    kind: FillKind,
    gangs: int,
    runs: Sequence[Run],
    closed: bool,
    stage: Stage,
    splices: tuple[Splice, ...],
    groups: tuple[str, ...],
) -> BoxFill:
    counts = Counter[int]()
    for run in runs:
        counts[run.conductor] += run.wires
        if run.has_control:
            counts[CONTROL_PAIR_AWG] += 2
    largest = min(counts)
    conductors = tuple(sorted(counts.items()))
    needed = fill_volume(conductors, len(runs), gangs, True, largest)
    roomy = needed
    if kind == "ceiling" and len(runs) == 1:
        doubled = [(awg, 2 * count) for awg, count in conductors]
        roomy = fill_volume(doubled, 2, gangs, True, largest)
    smallest, pleasant = (None, None) if kind == "fixture" else fitting(kind, gangs, needed, closed)
    if kind == "ceiling" and roomy > needed:
        pleasant = fitting(kind, gangs, roomy, closed)[1] or pleasant
    return BoxFill(
        place=place,
        kind=kind,
        gangs=gangs,
        conductors=conductors,
        grounds=len(runs),
        largest=largest,
        allowances=needed / ROOM_IN3[largest],
        needed=needed,
        smallest=smallest,
        pleasant=pleasant,
        closed=closed,
        stage=stage,
        cables=len(runs),
        splices=splices,
        runs=tuple(run.id for run in runs),
        groups=groups,
    )


def _switch_splices(groups: Sequence[str], runs: Sequence[Run]) -> tuple[Splice, ...]:
    """Return what is joined in a switch box, per circuit: neutrals, grounds with a pigtail to each device, hot ends.

    The unswitched hot is joined where more than two ends meet (cables and devices). Travellers and switched wires go
    straight to the switches; where several cables leave for one group, they are joined with a pigtail to its switch.
    """
    splices = []
    for circuit in dict.fromkeys(run.circuit for run in runs):
        own = [run for run in runs if run.circuit == circuit]
        here = [letter for letter in groups if any(run.group == letter for run in own)]
        hot = sum(run.group == "" for run in own)
        fed = [letter for letter in here if _is_first(letter, own)]
        if len(own) >= 2:
            splices.append(Splice("neutral", len(own)))
        if hot and hot + len(fed) > 2:
            splices.append(Splice("hot", hot + len(fed)))
        legs = [sum(run.group == letter and run.role == "switch leg" for run in own) for letter in here]
        splices += [Splice("switched hot", count + 1) for count in legs if count > 1]
    grounds = len(runs) + len(groups)
    if grounds >= 2:
        splices.append(Splice("ground", grounds))
    return tuple(splices)


def _is_first(letter: str, runs: Sequence[Run]) -> bool:
    """Whether the group's power enters in this box: none of its travellers ends here."""
    place = {run.end.id for run in runs if run.group == letter and run.role == "travellers"}
    starts = {run.start.id for run in runs if run.group == letter}
    return not (place & starts) and bool(starts) and any(run.group == "" for run in runs)
