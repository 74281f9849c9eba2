"""What a plan needs, before packs and prices: each need says why it is there and how its number came about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from core.plan import Fixture, Plan

__all__ = ["Need", "Part", "group_names", "is_to_do", "to_hang"]

Part = Literal["fixtures", "cable", "boxes", "switches", "fixings", "circuits", "own"]


@dataclass(frozen=True, slots=True)
class Need:
    """One kind of thing that the plan needs.

    Attributes
    ----------
    key : str
        Id of the item: a model's id, or a key of the price list.
    name : str
        What it is called where the price list does not know it.
    part : str
        Which part of the job it belongs to.
    for_ : str
        What it is for, as the user calls it.
    quantity : int
        How many, in ``unit``.
    why, how : str
        Why it is on the list, and how the number came about.
    note : str
        What to mind when buying or setting it.
    places : tuple of str
        Ids of the fixtures, boxes and circuits on the plan that ask for it.
    lengths : tuple of float
        For cable: the lengths that have to come out of the coils [ft].
    drop_rank : int
        Which needs to leave out first when the budget is too small, 1 first; 0 must stay.
    """

    key: str
    name: str
    part: Part
    for_: str
    quantity: int
    unit: str = "each"
    why: str = ""
    how: str = ""
    note: str = ""
    places: tuple[str, ...] = ()
    lengths: tuple[float, ...] = field(default=())
    drop_rank: int = 0


def is_to_do(plan: Plan, fixture: Fixture) -> bool:
    """Whether a fixture is still to be bought and hung."""
    return (plan.wiring.stage("fixture", fixture.id) or "to do") == "to do"


def to_hang(plan: Plan) -> tuple[Fixture, ...]:
    """Return the fixtures that are still to be hung."""
    return tuple(fixture for fixture in plan.fixtures if is_to_do(plan, fixture))


def group_names(plan: Plan, letters: Iterable[str]) -> str:
    """Return groups by letter and label, and how often each occurs where that differs from once."""
    counts: dict[str, int] = {}
    for letter in letters:
        counts[letter] = counts.get(letter, 0) + 1
    labels = {group.letter: f"{group.letter} {group.label}".strip() for group in plan.groups}
    named: Sequence[tuple[str, int]] = [(labels.get(key, key), count) for key, count in sorted(counts.items())]
    if len(named) == 1:
        return named[0][0]
    return ", ".join(f"{label} ({count})" if count > 1 else label for label, count in named)
