"""The shopping list: every need of the plan once, in the packs that are sold, for the least money.

What is at hand is taken off first. A need that is bought in several packs becomes one line for each pack. Fixtures have
their price in their own entry, everything else in the price list; the user's own prices win.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from core.plan import Plan
from core.shopping.fixtures_needed import fixture_needs
from core.shopping.line import Line, to_cents
from core.shopping.needs import Need
from core.shopping.packs import Pack, cheapest_coils, cheapest_mix
from core.shopping.prices import Price, PriceList, example_prices, with_own_prices
from core.shopping.wiring_needed import wiring_needs
from core.wiring.wired import wired

__all__ = ["Bill", "bill_of_materials", "needs_of"]


@dataclass(frozen=True, slots=True)
class Bill:
    """A shopping list: its lines, whether it holds placeholder prices, and the sums.

    ``tax_share`` is the tax as a share of the price, ``budget`` None where the user has set none.
    """

    name: str
    lines: tuple[Line, ...]
    has_example_prices: bool
    tax_share: Decimal = Decimal(0)
    budget: Decimal | None = None
    currency: str = "$"
    needs: tuple[Need, ...] = field(default=())

    @property
    def total(self) -> Decimal:
        """Sum of all known prices, in cents, without tax."""
        return sum((line.price for line in self.lines if line.price is not None), Decimal("0.00"))

    @property
    def tax(self) -> Decimal:
        """Tax on the total, in cents."""
        return to_cents(self.total * self.tax_share)

    @property
    def total_with_tax(self) -> Decimal:
        """What is paid at the counter."""
        return self.total + self.tax

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """Lines whose price is not known."""
        return tuple(line for line in self.lines if line.price is None)


def needs_of(plan: Plan) -> tuple[Need, ...]:
    """Return everything that a plan still needs, before packs and prices."""
    if not plan.fixtures:
        return ()
    return (*fixture_needs(plan), *wiring_needs(plan, wired(plan)))


def bill_of_materials(plan: Plan, prices: PriceList | None = None) -> Bill:
    """Return what to buy for a plan.

    Parameters
    ----------
    plan : Plan
    prices : PriceList, optional
        Prices of everything but fixtures; the program's placeholders where none is given.
    """
    prices = with_own_prices(prices or example_prices(), plan.buying)
    needs = needs_of(plan)
    left: dict[str, float] = {item.item: plan.buying.had(item.item) for item in plan.buying.at_hand}
    lines = [line for need in needs for line in _lines(plan, need, prices, left)]
    lines += _own_lines(plan)
    hung = {need.key for need in needs if need.part == "fixtures"}
    own = {price.item for price in plan.buying.prices}
    examples = any(model.is_example for model in plan.models if model.id in hung - own)
    examples |= prices.is_example and any(need.key not in own for need in needs if need.part != "fixtures")
    return Bill(
        name=plan.name,
        lines=tuple(lines),
        has_example_prices=examples,
        tax_share=Decimal(str(plan.buying.tax)),
        budget=Decimal(str(plan.buying.budget)) if plan.buying.budget > 0.0 else None,
        currency=plan.buying.currency,
        needs=needs,
    )


def _lines(plan: Plan, need: Need, prices: PriceList, left: dict[str, float]) -> Iterator[Line]:
    """Yield the lines of one need: one for each pack that is bought, the largest first."""
    offers = _offers(plan, need, prices)
    have = min(math.floor(left.get(need.key, 0.0)), need.quantity)
    if have:
        left[need.key] -= have
    wanted = need.quantity - have
    counts = _mix(need, wanted, offers, have)
    bought = [(offer, count) for offer, count in zip(offers, counts, strict=True) if count]
    bought = sorted(bought, key=lambda entry: -entry[0].pack) or [(offers[0], 0)]
    rest = wanted
    for number, (offer, count) in enumerate(bought):
        after = len(bought) - 1 - number
        is_last = after == 0
        # Every line keeps at least one unit: an extra coil may be there only because lengths are not spliced.
        share = rest if is_last else min(count * offer.pack, rest - after)
        rest -= share
        # Taken in order, the packs before this one hold everything: it is there for a length that fits in no rest.
        is_extra = bool(need.lengths) and sum(o.pack * c for o, c in bought) - offer.pack >= wanted
        yield Line(
            item=offer.item,
            for_=need.for_,
            quantity=share + (have if is_last else 0),
            unit=need.unit,
            pack=offer.pack,
            price_each=None if _is_unknown(offer) else to_cents(offer.price),
            have=have if is_last else 0,
            note="; ".join(part for part in (need.note, _EXTRA if is_extra and is_last else "") if part),
            places=need.places,
            key=need.key,
            part=need.part,
            why=need.why,
            how=need.how,
            drop_rank=need.drop_rank,
            bought=count,
        )


_EXTRA = "one coil more than the feet ask for, as no length is spliced"
_UNKNOWN = Decimal(-1)


def _is_unknown(offer: Price) -> bool:
    return offer.price < 0


def _offers(plan: Plan, need: Need, prices: PriceList) -> Sequence[Price]:
    listed = prices.packs_of(need.key)
    if need.part == "fixtures":
        own = [price for price in plan.buying.prices if price.item == need.key]
        if own:
            return [Price(need.key, need.name, Decimal(str(p.price)), pack=max(round(p.pack), 1)) for p in own]
        price = plan.model(need.key).price
        return [Price(need.key, need.name, Decimal(str(price)) if price > 0.0 else _UNKNOWN)]
    return listed or [Price(need.key, need.name, _UNKNOWN, unit=need.unit)]


def _mix(need: Need, wanted: int, offers: Sequence[Price], have: int) -> Sequence[int]:
    packs = [Pack(offer.pack, None if _is_unknown(offer) else offer.price) for offer in offers]
    if need.lengths and not have and not all(_is_unknown(offer) for offer in offers):
        return _whole_lengths(need, wanted, packs)
    return cheapest_mix(wanted, packs)


def _whole_lengths(need: Need, wanted: int, packs: Sequence[Pack]) -> Sequence[int]:
    """Coils for cable; a mix in which the lengths fit always holds the sum too, but for the rounding up of feet."""
    mix = cheapest_coils(need.lengths, packs)
    held = sum(count * pack.size for count, pack in zip(mix, packs, strict=True))
    return mix if held >= wanted else cheapest_mix(wanted, packs)


def _own_lines(plan: Plan) -> Iterator[Line]:
    for own in plan.buying.own_lines:
        yield Line(
            item=own.name,
            for_="own line",
            quantity=max(math.ceil(own.quantity), 1),
            unit=own.unit,
            price_each=to_cents(own.price) if own.price > 0.0 else None,
            note=own.note,
            part="own",
            why="Your own line.",
        )
