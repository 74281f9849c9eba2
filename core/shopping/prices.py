"""The price list of everything but fixtures, whose prices stand in their own entries.

An item may be sold in several packs; each has an entry of its own under the same key. What the user has put into the
plan (`core.plan.buying.Price`) takes the place of the list's entry for the same pack, or adds one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files

from pydantic import TypeAdapter

from core.plan.buying import Buying

__all__ = ["Price", "PriceList", "example_prices", "with_own_prices"]


@dataclass(frozen=True, slots=True)
class Price:
    """How one item is sold: its name in the store, pieces in a pack, price of a pack."""

    key: str
    item: str
    price: Decimal
    unit: str = "each"
    pack: int = 1


@dataclass(frozen=True, slots=True)
class PriceList:
    """Prices by key. ``is_example`` marks invented placeholder prices."""

    prices: tuple[Price, ...]
    is_example: bool = True
    about: str = ""

    def by_key(self) -> Mapping[str, Price]:
        """Return one price for each key, that of the smallest pack."""
        return {price.key: price for price in sorted(self.prices, key=lambda price: -price.pack)}

    def packs_of(self, key: str) -> tuple[Price, ...]:
        """Return every pack that an item is sold in, the smallest first."""
        return tuple(sorted((price for price in self.prices if price.key == key), key=lambda price: price.pack))


@lru_cache(maxsize=1)
def example_prices() -> PriceList:
    """Return the invented prices that come with the program."""
    return TypeAdapter(PriceList).validate_json((files("resources") / "prices.json").read_bytes())


def with_own_prices(prices: PriceList, buying: Buying) -> PriceList:
    """Return a price list in which the user's own prices stand in place of the list's."""
    listed = {(price.key, price.pack): price for price in prices.prices}
    known = prices.by_key()
    for own in buying.prices:
        pack = max(round(own.pack), 1)
        sample = known.get(own.item) or Price(own.item, own.item[:1].upper() + own.item[1:], Decimal(0))
        listed[own.item, pack] = replace(sample, pack=pack, price=Decimal(str(own.price)))
    return replace(prices, prices=tuple(listed.values()))
