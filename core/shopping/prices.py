"""The price list of everything but fixtures, whose prices stand in their own entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files

from pydantic import TypeAdapter

__all__ = ["Price", "PriceList", "example_prices"]


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
        """Return the prices by their keys."""
        return {price.key: price for price in self.prices}


@lru_cache(maxsize=1)
def example_prices() -> PriceList:
    """Return the invented prices that come with the program."""
    return TypeAdapter(PriceList).validate_json((files("resources") / "prices.json").read_bytes())
