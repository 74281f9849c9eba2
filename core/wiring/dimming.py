"""Which switch or dimmer a group wants: fixture, dimmer and cable must go together.

A fixture dims by forward phase, reverse phase, a 0-10 V pair, or not at all, as its data sheet says; a dimmer of
another kind makes it flicker, hum or fail (common practice, no source; the maker's list of tested dimmers decides).
"""

from __future__ import annotations

from dataclasses import dataclass

from core.plan.plan import Group, Plan
from core.plan.wiring import DimmerKind, Wiring
from core.wiring.load import highest_watts
from core.wiring.places import is_plugged_in

__all__ = ["Control", "control_of", "ways_of_group"]


@dataclass(frozen=True, slots=True)
class Control:
    """The devices of one group: ``kind`` is "none" for a plain switch.

    ``locations`` counts the boxes that it is switched from: two of them take a three-way switch each, further ones a
    four-way switch. ``trouble`` says what does not go together, or is empty.
    """

    group: str
    kind: DimmerKind
    locations: int
    watts: float
    trouble: str = ""

    @property
    def three_way(self) -> int:
        """How many three-way switches (a dimmer among them counts as one)."""
        return 2 if self.locations >= 2 else 0

    @property
    def four_way(self) -> int:
        """How many four-way switches: n locations take two three-way and n - 2 four-way ones."""
        return max(self.locations - 2, 0)


def ways_of_group(plan: Plan, letter: str) -> tuple[str, ...]:
    """Return how the wired fixtures of a group can be dimmed, each way once, in plan order."""
    fixtures = [f for f in plan.fixtures if f.group == letter and not is_plugged_in(plan, f)]
    return tuple(dict.fromkeys(plan.model(f.model).dimming for f in fixtures))


def control_of(plan: Plan, wiring: Wiring, group: Group) -> Control:
    """Return what a group is switched or dimmed with."""
    fixtures = [f for f in plan.fixtures if f.group == group.letter and not is_plugged_in(plan, f)]
    watts = sum(highest_watts(plan.model(f.model)) for f in fixtures)
    locations = sum(group.letter in box.groups for box in wiring.switch_boxes)
    ways = ways_of_group(plan, group.letter)
    named = next((dimmer for dimmer in wiring.dimmers if dimmer.group == group.letter), None)
    if not fixtures or (named is None and not group.dimmable):
        return Control(group.letter, "none", locations, watts)
    usable = [way for way in ways if way != "none"]
    kind: DimmerKind = named.kind if named is not None else usable[0] if usable else "none"  # type: ignore[assignment]
    most = named.most_watts if named is not None else 0.0
    return Control(group.letter, kind, locations, watts, _trouble(kind, ways, watts, most))


def _trouble(kind: str, ways: tuple[str, ...], watts: float, most: float) -> str:
    if ways == ("none",):
        return "none of its fixtures can be dimmed"
    if len(ways) > 1:
        said = ", ".join("not at all" if way == "none" else way for way in ways)
        return f"its fixtures do not dim the same way ({said})"
    if kind != ways[0]:
        return (
            f"the dimmer is {kind}, the fixtures are {ways[0]}"
            if kind != "none"
            else f"no dimmer for {ways[0]} fixtures"
        )
    if most and watts > most:
        return f"{watts:g} W are more than the {most:g} W that the dimmer may carry"
    return ""
