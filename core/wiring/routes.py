"""Cable runs: from the panel to the switches, from switch to switch, and on through the fixtures.

Each circuit's power goes from the panel through the switch boxes that need it, in the shortest chain; from its switch
each group goes through its fixtures in a daisy chain or a tree with junctions at the boxes (`core.wiring.branches`;
`core.wiring.orders` tells how good these are). A group with several switches has its travellers in a three-wire cable
from box to box (`core.wiring.switch_orders`). Circuits and groups are laid one by one: each part is as good as its
method says, the whole may be longer than the best of all plans. Cable rises from a box to the ceiling, runs along and
across the joists, and comes down again; every end has slack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from core.plan.plan import Plan
from core.plan.wiring import Circuit, Lead, Stage, Wiring
from core.wiring.branches import Branch, Joiner, joined
from core.wiring.dimming import control_of
from core.wiring.orders import Order, best_chain
from core.wiring.places import (
    Place,
    feeders,
    fixture_place,
    is_plugged_in,
    lead_place,
    panel_place,
    switch_place,
)
from core.wiring.switch_orders import Effort, chosen_orders, shortest_orders, together
from core.wiring.ways import Ways, ways_of

__all__ = ["Method", "Role", "Routing", "Run", "routing"]

Role = Literal["home run", "feed", "travellers", "switch leg", "fixture to fixture"]


@dataclass(frozen=True, slots=True)
class Run:
    """One length of cable between two boxes.

    ``wires`` counts the insulated conductors without the ground; ``has_control`` tells that a 0-10 V pair goes beside
    it. ``path`` are plan points at ceiling height [m]; ``length`` is the cable's without slack, ``slack`` that of both
    ends, ``to_buy`` what is to be bought of it, without waste [m].
    """

    start: Place
    end: Place
    circuit: str
    group: str
    role: Role
    conductor: int
    wires: int
    has_control: bool
    path: tuple[tuple[float, float], ...]
    length: float
    slack: float
    joists_crossed: int
    stage: Stage
    to_buy: float
    note: str = ""

    @property
    def id(self) -> str:
        """Both ends, as `Staged.at` names a cable."""
        return f"{self.start.id} > {self.end.id}"

    @property
    def cable(self) -> str:
        """The cable's trade name."""
        return f"{self.conductor}/{self.wires} NM-B"


@dataclass(frozen=True, slots=True)
class Method:
    """How one part of the routing was found: its length and the bound below which none can be [m]."""

    part: str
    text: str
    length: float
    bound: float


@dataclass(frozen=True, slots=True)
class Routing:
    """All runs, from the panel outward, and how they were found."""

    runs: tuple[Run, ...]
    methods: tuple[Method, ...]


def routing(plan: Plan, wiring: Wiring, hasty: bool = False) -> Routing:
    """Lay the cable of a plan whose wiring is complete (`core.wiring.assumed`).

    ``hasty`` leaves the search for the shortest chain of many fixtures out, as while something is dragged.

    Raises
    ------
    ValueError
        If the wiring has no panel.
    """
    return _Layer(plan, wiring, hasty).laid()


class _Layer:
    """Lays the cable circuit by circuit."""

    def __init__(self, plan: Plan, wiring: Wiring, hasty: bool) -> None:
        if wiring.panel is None:
            raise ValueError("A routing begins at a panel.")
        self.plan, self.wiring = plan, wiring
        self.ways: Ways = ways_of(plan.room)
        self.panel = panel_place(plan, wiring.panel)
        self.boxes = {box.id: switch_place(plan, box) for box in wiring.switch_boxes}
        self.leads = {lead.group: lead for lead in wiring.leads}
        self.feeders = feeders(plan)
        self.dimmed = {g.letter for g in plan.groups if control_of(plan, wiring, g).kind == "0-10 V"}
        is_chain = wiring.scheme == "daisy chain"
        self.joiner = Joiner(self._distance, self._is_old, self._is_laid, is_chain, hasty)
        self.branches: dict[tuple[str, str], Branch] = {}
        self.runs: list[Run] = []
        self.methods: list[Method] = []

    def laid(self) -> Routing:
        seen: set[str] = set()
        for circuit in self.wiring.circuits:
            letters = [letter for letter in dict.fromkeys(circuit.groups) if letter not in seen]
            seen |= set(letters)
            self._circuit(circuit, letters)
        return Routing(tuple(self.runs), tuple(self.methods))

    def _circuit(self, circuit: Circuit, letters: Sequence[str]) -> None:
        fixtures = {letter: self._fixtures(letter) for letter in letters}
        letters = [letter for letter in letters if fixtures[letter]]
        choices = {letter: self._switch_orders(letter) for letter in letters}

        def behind(letter: str, last: Place) -> Branch:
            if (letter, last.id) not in self.branches:
                self.branches[letter, last.id] = joined(last, fixtures[letter], self.joiner)
            return self.branches[letter, last.id]

        orders = chosen_orders(
            choices,
            self._feed_effort,
            lambda letter, last: together(self._effort(a, b) for a, b in behind(letter, last).steps),
        )
        fed = [places[0] for places in orders.values() if places[0].kind == "switch box"]
        self._feeds(circuit, list(dict.fromkeys(fed)))
        for letter in letters:
            self._travellers(circuit, letter, orders[letter])
            self._lights(circuit, letter, behind(letter, orders[letter][-1]))

    def _fixtures(self, letter: str) -> list[Place]:
        plan = self.plan
        own = [f for f in plan.fixtures if f.group == letter and not is_plugged_in(plan, f)]
        return [fixture_place(plan, f) for f in own if self.feeders[f.id] == f.id]

    def _switches(self, letter: str) -> list[Place]:
        return [self.boxes[box.id] for box in self.wiring.switch_boxes if letter in box.groups]

    def _distance(self, a: Place, b: Place) -> float:
        """Length of cable from one place up to the ceiling, over and down to the other [m]."""
        top = self.plan.room.height
        return (top - a.z) + self.ways.length(a.point, b.point) + (top - b.z)

    def _is_old(self, place: Place) -> bool:
        return _place_stage(self.wiring, place) == "existing"

    def _is_laid(self, a: Place, b: Place) -> bool:
        """Whether the user says that the cable between two places is there."""
        return self._said_of_cable(a, b) in ("existing", "done")

    def _switch_orders(self, letter: str) -> Sequence[tuple[Place, ...]]:
        """Return the orders that a group's switches can have; a lead takes their place."""
        if letter in self.leads:
            return ((lead_place(self.plan, self.leads[letter]),),)
        orders = shortest_orders(self._switches(letter), self._effort)
        if letter in self.dimmed:  # the pair goes with the lights only: the choice must not trade it against a feed
            return (min(orders, key=lambda places: self._effort(self.panel, places[0])),)
        return orders

    def _effort(self, a: Place, b: Place) -> Effort:
        length = self._distance(a, b)
        return Effort(length + self._slack(a) + self._slack(b) if self._stage(a, b) == "to do" else 0.0, length)

    def _slack(self, place: Place) -> float:
        code = self.wiring.code
        return code.slack_at_panel if place.kind == "panel" else code.slack_at_box

    def _feed_order(self, boxes: Sequence[Place]) -> Order:
        """Return the chain from the panel through boxes for which the least has to be laid."""
        nodes = (self.panel, *boxes)
        table = [[0.0 if a is b else self._effort(a, b).to_lay for b in nodes] for a in nodes]
        if not any(any(row) for row in table):
            table = [[self._distance(a, b) for b in nodes] for a in nodes]
        return best_chain(tuple(tuple(round(cost, 9) for cost in row) for row in table))

    def _feed_steps(self, boxes: Sequence[Place]) -> tuple[list[tuple[Place, Place]], Order]:
        order = self._feed_order(boxes)
        visited = [self.panel, *(boxes[visit - 1] for visit in order.visits)]
        return list(pairwise(visited)), order

    def _feed_effort(self, entries: Sequence[Place]) -> Effort:
        """Return the effort of the feed to where power enters."""
        steps, _ = self._feed_steps([place for place in entries if place.kind == "switch box"])
        return together(self._effort(a, b) for a, b in steps)

    def _feeds(self, circuit: Circuit, boxes: Sequence[Place]) -> None:
        if not boxes:
            return
        steps, order = self._feed_steps(boxes)
        for start, end in steps:
            self._run(circuit, "", "home run" if start is self.panel else "feed", start, end, 2)
        self._tell(f"{circuit.name}: panel to switches", order, len(boxes), chain=True)

    def _travellers(self, circuit: Circuit, letter: str, places: Sequence[Place]) -> None:
        for a, b in pairwise(places):
            self._run(circuit, letter, "travellers", a, b, 3)

    def _lights(self, circuit: Circuit, letter: str, branch: Branch) -> None:
        for start, end in branch.steps:
            role: Role = "fixture to fixture" if start.kind == "fixture" else "switch leg"
            self._run(circuit, letter, role, start, end, 2)
        for order in branch.orders:
            self._tell(f"Group {letter}", order, len(order.visits), self.joiner.is_chain)

    def _tell(self, part: str, order: Order, count: int, chain: bool) -> None:
        if not chain:
            text = "minimum spanning tree over the boxes; junctions elsewhere could save a third at most"
        elif order.gap == 0.0:
            text = "shortest daisy chain there is"
        else:
            text = f"daisy chain by exchange, at most {100 * order.gap:.1f} % longer than the shortest"
        self.methods.append(Method(part, f"{count} boxes: {text}", order.length, order.bound))

    def _run(self, circuit: Circuit, letter: str, role: Role, start: Place, end: Place, wires: int) -> None:
        length = self._distance(start, end)
        slack = self._slack(start) + self._slack(end)
        stage = self._stage(start, end)
        to_buy, note = (length + slack, "") if stage == "to do" else (0.0, f"{stage}, nothing to buy")
        if stage == "to do" and start.kind == "fixture" and self._is_old(start):
            note = "from a box that is there: see that it holds one cable more"
        lead = self.leads.get(letter) if start.kind == "lead" else None
        conductor: int = circuit.conductor
        if lead is not None and stage == "to do":
            stage, to_buy, note = _from_the_lead(lead, length, self._slack(end), to_buy)
        self.runs.append(
            Run(
                start=start,
                end=end,
                circuit=circuit.id,
                group=letter,
                role=role,
                conductor=conductor,
                wires=wires,
                has_control=role in ("switch leg", "fixture to fixture") and letter in self.dimmed,
                path=self.ways.path(start.point, end.point),
                length=length,
                slack=slack,
                joists_crossed=self.ways.joists_crossed(start.point, end.point),
                stage=stage,
                to_buy=to_buy,
                note=note,
            )
        )

    def _stage(self, start: Place, end: Place) -> Stage:
        """The user's word on this cable; else it is there if both of its ends are."""
        said = self._said_of_cable(start, end)
        if said is not None:
            return said
        ends = {_place_stage(self.wiring, start), _place_stage(self.wiring, end)}
        return "to do" if "to do" in ends else "done" if "done" in ends else "existing"

    def _said_of_cable(self, a: Place, b: Place) -> Stage | None:
        return self.wiring.stage("cable", f"{a.id} > {b.id}") or self.wiring.stage("cable", f"{b.id} > {a.id}")


def _place_stage(wiring: Wiring, place: Place) -> Stage:
    if place.kind == "panel" or place.kind == "lead":
        return "existing"
    if place.kind == "switch box":
        return wiring.stage("switch box", place.id) or "to do"
    return wiring.stage("fixture box", place.id) or wiring.stage("fixture", place.id) or "to do"


def _from_the_lead(lead: Lead, length: float, slack: float, to_buy: float) -> tuple[Stage, float, str]:
    """A lead that is long enough is the cable; one that is too short is spliced in a box where it hangs."""
    if lead.length >= length + slack:
        return "existing", 0.0, "the lead left above the ceiling reaches"
    return "to do", to_buy, "the lead left above the ceiling is too short: splice it in a box where it comes out"
