"""The shopping list, to be ticked off in the store."""

from __future__ import annotations

from app.prints.paper.flow import Column, Part, flow, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.plan import Plan
from core.shopping import bill_of_materials, pack_words, show_money

__all__ = ["shopping_pages"]

_COLUMNS = (
    Column("", 0.4, "centre"),
    Column("Item", 3.0, strong=True),
    Column("For", 2.2),
    Column("Packs", 1.0, "right"),
    Column("Price", 1.0, "right"),
    Column("Note", 3.0),
)


def shopping_pages(plan: Plan, paper: Paper) -> list[Page]:
    """Return the pages of the shopping list."""
    width = frame_of(paper).width
    bill = bill_of_materials(plan)
    rows = []
    for line in bill.lines:
        price = show_money(line.price) if line.price is not None else "no price"
        rows.append(["☐", line.item, line.for_, pack_words(line), price, line.note])
    parts: list[Part] = table(_COLUMNS, rows, width)
    parts.append(paragraph(f"Total {show_money(bill.total)}, before tax.", width))
    if bill.has_example_prices:
        parts.append(paragraph("Some prices are placeholders of invented entries.", width))
    return flow("Shopping list", parts, paper)
