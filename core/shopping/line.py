"""One line of a shopping list.

Money is exact: Decimal, rounded to cents once, where a line's price is made. A line is bought in whole packs,
after what is there already has been taken off.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

__all__ = ["CENT", "Line", "to_cents"]

CENT = Decimal("0.01")


def to_cents(amount: Decimal | float) -> Decimal:
    """Return an amount of money rounded to cents, half a cent upward."""
    exact = amount if isinstance(amount, Decimal) else Decimal(str(amount))
    return exact.quantize(CENT, rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to buy, in one size of pack.

    Attributes
    ----------
    item : str
        What it is called in the store.
    for_ : str
        What it is for: switches, fixtures.
    quantity : int
        How many the plan needs, in ``unit``.
    unit : str
        "each", "ft", ...
    pack : int
        How many come in one pack as sold.
    price_each : Decimal or None
        Price of one pack; None where it is not known.
    have : int
        How many are there already.
    note : str
        How it is to be set, what to mind.
    places : tuple of str
        Ids of the things on the plan that ask for it.
    key : str
        Id of the item, under which prices and what is at hand are kept.
    part : str
        Which part of the job it belongs to.
    why, how : str
        Why it is there, and how its number came about.
    drop_rank : int
        Which lines to leave out first when the budget is too small, 1 first; 0 must stay.
    bought : int or None
        How many packs are bought, where that is not just what the quantity takes: cable is cut from whole coils.
    """

    item: str
    for_: str
    quantity: int
    unit: str = "each"
    pack: int = 1
    price_each: Decimal | None = None
    have: int = 0
    note: str = ""
    places: tuple[str, ...] = ()
    key: str = ""
    part: str = ""
    why: str = ""
    how: str = ""
    drop_rank: int = 0
    bought: int | None = None

    @property
    def packs(self) -> int:
        """How many packs to buy."""
        return -(-max(self.quantity - self.have, 0) // self.pack) if self.bought is None else self.bought

    @property
    def price(self) -> Decimal | None:
        """Price of the packs to buy, in cents; None where it is not known."""
        return None if self.price_each is None else to_cents(self.price_each * self.packs)
