"""What the user has decided about buying: prices, tax, budget, what is at hand, and the hours that the lights burn.

A price here wins over the price list. ``item`` is the id of a line of the shopping list (a model's id, a supply's id).
Money is in the user's own currency; nothing is converted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from annotated_types import Ge, Gt, Le, MaxLen, MinLen

from core.plan.room import STRICT

__all__ = ["AtHand", "Buying", "Hours", "OwnLine", "Price"]

Money = Annotated[float, Ge(0.0), Le(1_000_000.0)]
Count = Annotated[float, Gt(0.0), Le(1_000_000.0)]
Id = Annotated[str, MinLen(1)]


@dataclass(frozen=True, slots=True)
class Price:
    """What a pack of ``pack`` units of an item costs where the user buys."""

    item: Id
    price: Money
    pack: Count = 1.0

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class AtHand:
    """How much of an item the user has already, in the unit of its line."""

    item: Id
    quantity: Count

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A line that the user adds to the list."""

    name: Id
    quantity: Count = 1.0
    unit: str = "each"
    price: Money = 0.0
    note: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Hours:
    """How many hours a year a kept combination is in use."""

    combination: str
    hours: Annotated[float, Ge(0.0), Le(8784.0)]

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Buying:
    """All that the user has decided about buying. ``tax`` is a share of the price; a budget of 0 means none.

    One spare fixture is bought for each ``fixtures_per_spare`` of a model (0: none). ``energy_price`` is for a kWh.
    """

    currency: Annotated[str, MaxLen(4)] = "$"
    prices: Annotated[tuple[Price, ...], MaxLen(5000)] = ()
    at_hand: Annotated[tuple[AtHand, ...], MaxLen(5000)] = ()
    own_lines: Annotated[tuple[OwnLine, ...], MaxLen(500)] = ()
    tax: Annotated[float, Ge(0.0), Le(1.0)] = 0.0
    budget: Money = 0.0
    fixtures_per_spare: Annotated[int, Ge(0), Le(1000)] = 0
    hours: Annotated[tuple[Hours, ...], MaxLen(200)] = ()
    energy_price: Annotated[float, Ge(0.0), Le(100.0)] = 0.17
    old_watts: Annotated[float, Ge(0.0), Le(1_000_000.0)] = 0.0

    __pydantic_config__ = STRICT

    def had(self, item: str) -> float:
        """Return how much of an item is at hand."""
        return sum(known.quantity for known in self.at_hand if known.item == item)
