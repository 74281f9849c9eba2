"""What to leave out first when the list costs more than the budget, and what else would do for a line.

First go spares, then the patch kit, then dimmers in favour of plain switches; nothing that holds, joins or protects
is ever proposed. Other models are proposed where they give at least as much light (within a tenth), of the same kind,
for less money. What that does to the light, the plan shows: try it there before buying.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from core.plan import Model, Plan
from core.shopping.bill import Bill
from core.shopping.line import Line, to_cents
from core.shopping.prices import PriceList

__all__ = ["Alternative", "Saving", "alternatives", "savings"]

ENOUGH_LIGHT = 0.9


@dataclass(frozen=True, slots=True)
class Saving:
    """One thing to leave out: what, what it saves (before tax), and whether the list then is within the budget."""

    what: str
    saves: Decimal
    is_enough: bool
    key: str


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another thing that would do for a line: its key and name, and the difference in price (negative: cheaper)."""

    key: str
    name: str
    difference: Decimal
    note: str


def savings(bill: Bill, prices: PriceList) -> tuple[Saving, ...]:
    """Return what to leave out, in order, as far as the budget asks for it; empty where there is no need.

    The last one tells by ``is_enough`` whether the budget is met.
    """
    if bill.budget is None or bill.total_with_tax <= bill.budget:
        return ()
    switch = prices.by_key().get("switch")
    found, total = [], bill.total
    optional = [line for line in bill.lines if line.drop_rank and line.packs and line.price]
    for line in sorted(optional, key=lambda line: (line.drop_rank, -(line.price or 0))):
        saved = line.price or Decimal(0)
        what = f"Leave out: {line.item}"
        if line.key.startswith("dimmer") and switch is not None:
            saved -= to_cents(switch.price * line.packs)
            what = f"Plain switches in place of {line.item.lower()}"
        if saved <= 0:
            continue
        total -= saved
        within = total + to_cents(total * bill.tax_share) <= bill.budget
        found.append(Saving(what, saved, within, line.key))
        if within:
            break
    return tuple(found)


def alternatives(plan: Plan, line: Line, models: Sequence[Model]) -> tuple[Alternative, ...]:
    """Return other models for a line of fixtures, the cheapest first.

    Parameters
    ----------
    models : sequence of Model
        Entries to look among, e.g. the catalogue and the plan's own.
    """
    if line.part != "fixtures" or line.price_each is None:
        return ()
    mine = plan.model(line.key)
    used = [f for f in plan.fixtures if f.id in line.places]
    wanted = plan.setting(used[0]).lumens if used else mine.settings[-1].lumens
    found = []
    for other in models:
        if other.id == mine.id or other.kind != mine.kind or other.mounting != mine.mounting or other.price <= 0.0:
            continue
        setting = next(
            (s for s in sorted(other.settings, key=lambda s: s.lumens) if s.lumens >= ENOUGH_LIGHT * wanted), None
        )
        if setting is None or other.cri < mine.cri:
            continue
        difference = to_cents((to_cents(other.price) - line.price_each) * line.packs)
        if difference < 0:
            note = f"{setting.watts:g} W, {setting.lumens:,.0f} lm, CRI {other.cri}"
            found.append(Alternative(other.id, other.name, difference, note))
    return tuple(sorted(found, key=lambda other: (other.difference, other.name)))
