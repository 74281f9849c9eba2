"""The shopping list as it is read: a CSV table, and plain text for a phone."""

from __future__ import annotations

from decimal import Decimal

from core.shopping.bill import Bill
from core.shopping.line import Line, to_cents
from core.tables import csv_text

__all__ = ["CAUTION", "COLUMNS", "bill_csv", "bill_text", "show_money"]

COLUMNS = ("item", "for", "quantity", "unit", "pack", "packs", "price_each", "price", "have", "note")

CAUTION = (
    "Wiring can kill: turn the circuit off and test that it is dead. Ask what your local code, your permit and your"
    " inspector require, and have a licensed electrician do what the law reserves for one."
)


def show_money(amount: Decimal | None) -> str:
    """Return an amount in dollars, as ``$1,234.50``; empty where it is not known."""
    return "" if amount is None else f"${to_cents(amount):,}"


def bill_csv(bill: Bill) -> str:
    """Return the list as CSV text with the columns of `COLUMNS`, one row for each line."""
    rows = [
        (
            line.item,
            line.for_,
            line.quantity,
            line.unit,
            line.pack,
            line.packs,
            None if line.price_each is None else to_cents(line.price_each),
            line.price,
            line.have,
            line.note,
        )
        for line in bill.lines
    ]
    return csv_text(COLUMNS, rows)


def bill_text(bill: Bill) -> str:
    """Return the list as plain text, a tick box in front of each line."""
    lines = [f"Shopping list: {bill.name}", ""]
    for line in bill.lines:
        lines.extend(_two_lines(line))
    lines += ["", f"Total {show_money(bill.total)}"]
    remark = _remark(bill)
    return "\n".join([*lines, *([remark] if remark else []), "", CAUTION]) + "\n"


def _two_lines(line: Line) -> list[str]:
    count = line.packs if line.pack == 1 else f"{line.packs} packs of {line.pack}"
    price = "no price yet" if line.price is None else show_money(line.price)
    first = f"[ ] {count} x {line.item}: {price}"
    said = "; ".join(part for part in (line.for_, line.note, f"have {line.have}" if line.have else "") if part)
    return [first, f"    {said}"] if said else [first]


def _remark(bill: Bill) -> str:
    parts = []
    if bill.has_example_prices:
        parts.append("It holds placeholder prices of invented examples.")
    if bill.unpriced:
        count = len(bill.unpriced)
        parts.append(f"It leaves out {count} line{'s' if count > 1 else ''} without a price.")
    return " ".join(parts)
