"""The shopping list as it is read: a CSV table, plain text for a phone, and a page to print with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from html import escape

from core.shopping.bill import Bill
from core.shopping.line import Line, to_cents
from core.tables import csv_text
from core.wiring.cautions import CAUTIONS, PLANNING_AID

__all__ = ["CAUTION", "COLUMNS", "PARTS", "bill_csv", "bill_page", "bill_text", "pack_words", "show_money"]

COLUMNS = ("item", "for", "quantity", "unit", "pack", "packs", "price_each", "price", "have", "note")

CAUTION = (
    "Wiring can kill: turn the circuit off and test that it is dead. Ask what your local code, your permit and your"
    " inspector require, and have a licensed electrician do what the law reserves for one."
)

PARTS = {
    "fixtures": "Fixtures",
    "switches": "Switches, dimmers, plates",
    "cable": "Cable",
    "boxes": "Boxes and what goes in them",
    "fixings": "Holding it up",
    "circuits": "At the panel",
    "own": "Your own lines",
}
"""Headings of the parts of the job, in the order of the list."""


def show_money(amount: Decimal | None, currency: str = "$") -> str:
    """Return an amount of money, as ``$1,234.50``; empty where it is not known."""
    return "" if amount is None else f"{currency}{to_cents(amount):,}"


def pack_words(line: Line) -> str:
    """Return what to take off the shelf: ``3``, ``2 packs of 10``, ``1 coil of 100 ft``."""
    if line.pack == 1:
        return f"{line.packs}" if line.unit == "each" else f"{line.packs} {line.unit}"
    word = "coil" if line.unit == "ft" else "pack"
    size = f"{line.pack} {line.unit}" if line.unit != "each" else f"{line.pack}"
    return f"{line.packs} {word}{'' if line.packs == 1 else 's'} of {size}"


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
    lines = [f"Shopping list: {bill.name}"]
    for title, part in _parts(bill):
        lines += ["", title] if title else [""]
        for line in part:
            lines.extend(_two_lines(line, bill.currency))
    lines += ["", *_sums(bill)]
    remark = _remark(bill)
    return "\n".join([*lines, *([remark] if remark else []), "", CAUTION]) + "\n"


def bill_page(bill: Bill) -> str:
    """Return the list as an HTML page to print, with boxes to tick, reasons and cautions; all text is escaped."""
    out = [
        "<!DOCTYPE html>",
        f'<html lang="en"><head><meta charset="utf-8"><title>Shopping list: {escape(bill.name)}</title>',
        f"<style>{_STYLE}</style></head><body>",
        f"<h1>Shopping list: {escape(bill.name)}</h1>",
    ]
    for title, part in _parts(bill):
        out.append(f"<h2>{escape(title)}</h2>" if title else "")
        out.append("<table><tr><th></th><th>take</th><th>item</th><th>for</th><th>needed</th><th>price</th></tr>")
        out += [_page_row(line, bill.currency) for line in part]
        out.append("</table>")
    out += [f"<p><b>{escape(text)}</b></p>" for text in _sums(bill)]
    out.append(f"<p>{escape(_remark(bill))}</p>")
    out.append(f"<h2>Cautions</h2><p>{escape(PLANNING_AID)}</p><ul>")
    out += [f"<li>{escape(text)}</li>" for text in (CAUTION, *CAUTIONS)]
    return "\n".join([*out, "</ul></body></html>"]) + "\n"


_STYLE = (
    "body{font:11pt sans-serif;margin:12mm}h1{font-size:16pt}h2{font-size:12pt;margin:5mm 0 1mm}"
    "table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;padding:1mm 2mm;"
    "border-bottom:.2mm solid #999}.box{width:4mm;height:4mm;border:.4mm solid #000;display:inline-block}"
    ".small{font-size:8.5pt}tr{page-break-inside:avoid}"
)


def _page_row(line: Line, currency: str) -> str:
    needed = f"{line.quantity:,} {line.unit}" if line.unit != "each" else f"{line.quantity:,}"
    have = f", have {line.have}" if line.have else ""
    said = " ".join(text for text in (line.note, line.why, f"({line.how})" if line.how else "") if text)
    cells = (
        '<span class="box"></span>',
        escape(pack_words(line)),
        f'{escape(line.item)}<br><span class="small">{escape(said)}</span>',
        escape(line.for_),
        escape(needed + have),
        escape(show_money(line.price, currency) or "no price yet"),
    )
    return "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def _parts(bill: Bill) -> Iterator[tuple[str, list[Line]]]:
    """Yield the lines by part of the job; those of no known part come last, without a heading."""
    for part, title in PARTS.items():
        lines = [line for line in bill.lines if line.part == part]
        if lines:
            yield title, lines
    others = [line for line in bill.lines if line.part not in PARTS]
    if others:
        yield "", others


def _two_lines(line: Line, currency: str) -> list[str]:
    price = "no price yet" if line.price is None else show_money(line.price, currency)
    first = f"[ ] {pack_words(line)} x {line.item}: {price}"
    said = "; ".join(part for part in (line.for_, line.note, f"have {line.have}" if line.have else "") if part)
    return [first, f"    {said}"] if said else [first]


def _sums(bill: Bill) -> list[str]:
    sums = [f"Total {show_money(bill.total, bill.currency)}"]
    if bill.tax:
        sums.append(f"With {float(100 * bill.tax_share):g} % tax {show_money(bill.total_with_tax, bill.currency)}")
    if bill.budget is not None:
        over = bill.total_with_tax - bill.budget
        word = "over" if over > 0 else "within"
        sums.append(
            f"{show_money(abs(over), bill.currency)} {word} the budget of {show_money(bill.budget, bill.currency)}"
        )
    return sums


def _remark(bill: Bill) -> str:
    parts = []
    if bill.has_example_prices:
        parts.append("It holds placeholder prices of invented examples.")
    if bill.unpriced:
        count = len(bill.unpriced)
        parts.append(f"It leaves out {count} line{'s' if count > 1 else ''} without a price.")
    return " ".join(parts)
