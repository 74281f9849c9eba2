"""Edits of what is decided about buying: each makes another Plan of one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from core.plan import Plan
from core.plan.buying import AtHand, Hours, OwnLine
from core.plan.buying import Price as OwnPrice
from core.shopping.prices import Price

__all__ = [
    "with_at_hand",
    "with_buying",
    "with_hours",
    "with_own_line",
    "with_own_price",
    "with_prices_taken",
    "without_own_line",
    "without_own_price",
]


def with_buying(plan: Plan, **values: Any) -> Plan:
    """Set fields of what is decided about buying."""
    return replace(plan, buying=replace(plan.buying, **values))


def with_own_price(plan: Plan, item: str, price: float, pack: int = 1) -> Plan:
    """Say what a pack of an item costs where the user buys."""
    others = tuple(p for p in plan.buying.prices if (p.item, round(p.pack)) != (item, pack))
    return with_buying(plan, prices=(*others, OwnPrice(item, price, float(pack))))


def without_own_price(plan: Plan, item: str, pack: int) -> Plan:
    """Go back to the price list for one pack of an item."""
    return with_buying(plan, prices=tuple(p for p in plan.buying.prices if (p.item, round(p.pack)) != (item, pack)))


def with_prices_taken(plan: Plan, prices: Iterable[Price]) -> Plan:
    """Take over prices from a file."""
    for price in prices:
        plan = with_own_price(plan, price.key, float(price.price), price.pack)
    return plan


def with_at_hand(plan: Plan, item: str, quantity: float) -> Plan:
    """Say how much of an item is there already; 0 forgets it."""
    others = tuple(known for known in plan.buying.at_hand if known.item != item)
    return with_buying(plan, at_hand=(*others, AtHand(item, quantity)) if quantity > 0.0 else others)


def with_own_line(plan: Plan, line: OwnLine) -> Plan:
    """Add a line of the user's own, or put it in place of the one with its name."""
    lines = plan.buying.own_lines
    if any(known.name == line.name for known in lines):
        return with_buying(plan, own_lines=tuple(line if known.name == line.name else known for known in lines))
    return with_buying(plan, own_lines=(*lines, line))


def without_own_line(plan: Plan, name: str) -> Plan:
    """Remove a line of the user's own."""
    return with_buying(plan, own_lines=tuple(line for line in plan.buying.own_lines if line.name != name))


def with_hours(plan: Plan, combination: str, hours: float) -> Plan:
    """Say how many hours a year a kept combination is in use; 0 forgets it."""
    others = tuple(known for known in plan.buying.hours if known.combination != combination)
    return with_buying(plan, hours=(*others, Hours(combination, hours)) if hours > 0.0 else others)
