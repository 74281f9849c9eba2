"""The list itself: what is needed and why, what is there already, what it costs; both of these are typed in place."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.words import words
from core.catalogue import catalogue
from core.plan import Plan
from core.shopping import Bill, Line, alternatives, pack_words, show_money
from core.shopping.decisions import with_at_hand, with_own_line, with_own_price, without_own_price
from core.units import UnitError, parse_money

__all__ = ["ListPage"]

_HEADS = ("item", "for", "needed", "have", "take", "price of one", "price", "note")
_HAVE, _PRICE = 3, 5
_RIGHT = (2, 3, 5, 6)
_MOST = 1_000_000.0


class ListPage(QWidget):
    """Follows the bill that the dialog gives it."""

    pointed = Signal(object)  # ids of what the chosen lines are for

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.bill: Bill | None = None
        self.table: QTableWidget = make_table("Shopping list", _HEADS, (2, 3, 4, 5, 6))
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setAlternatingRowColors(True)
        self.table.setWordWrap(True)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        header = self.table.horizontalHeader()
        for column, share in ((0, 3), (1, 2), (7, 3)):
            self.table.setColumnWidth(column, 70 * share)
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
        self.table.itemSelectionChanged.connect(self._selected)
        self.table.itemChanged.connect(self._typed)
        self.why = words(
            "Click a line: it says why it is there, and shows where on the plan.", "small", "muted", wrap=True
        )
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 8, 0, 0)
        column_box.setSpacing(8)
        column_box.addWidget(self.table, 1)
        column_box.addWidget(self.why)

    def show_bill(self, bill: Bill) -> None:
        """Show another bill."""
        self.bill = bill
        self.table.blockSignals(True)
        self.table.setRowCount(len(bill.lines))
        for row, line in enumerate(bill.lines):
            put_row(self.table, row, _cells(line, bill.currency), (_HAVE, _PRICE), _RIGHT)
            for column in range(len(_HEADS)):
                item = self.table.item(row, column)
                if item is not None:
                    item.setToolTip(" ".join(part for part in (line.why, line.how) if part))
        self.table.blockSignals(False)

    def _line(self, row: int) -> Line | None:
        return self.bill.lines[row] if self.bill is not None and 0 <= row < len(self.bill.lines) else None

    def _selected(self) -> None:
        """Show on the plan what the chosen lines are for, and say why they are there."""
        lines = [line for row in sorted({i.row() for i in self.table.selectedIndexes()}) if (line := self._line(row))]
        if not lines:
            return
        places = frozenset(place for line in lines for place in line.places)
        self._document.select(places & {fixture.id for fixture in self._document.plan.fixtures})
        self.pointed.emit(places)
        self.why.setText(_reason(self._document.plan, lines[0], self.bill.currency if self.bill else "$"))

    def _typed(self, item: QTableWidgetItem) -> None:
        line = self._line(item.row())
        if line is None or self.bill is None:
            return
        plan, text = self._document.settled_plan, item.text().strip()
        try:
            if item.column() == _HAVE:
                edited, done = _with_have(plan, line, text), f"Have {line.item}"
            else:
                edited, done = _with_price(plan, line, text), f"Price of {line.item}"
        except (UnitError, ValueError) as problem:
            self.why.setText(str(problem))
            self.show_bill(self.bill)
            return
        self._document.apply(done, edited)
        self.show_bill(self.bill)


def _cells(line: Line, currency: str) -> tuple[str, ...]:
    needed = f"{line.quantity:,} {line.unit}" if line.unit != "each" else f"{line.quantity:,}"
    each = show_money(line.price_each, currency)
    have = f"{line.have:,}" if line.have else ""
    return line.item, line.for_, needed, have, pack_words(line), each, show_money(line.price, currency), line.note


def _reason(plan: Plan, line: Line, currency: str) -> str:
    parts = [line.why, f"Counted: {line.how}." if line.how else ""]
    others = alternatives(plan, line, (*plan.models, *catalogue()))
    if others:
        named = ", ".join(f"{o.name} ({o.note}; saves {show_money(-o.difference, currency)})" for o in others[:3])
        parts.append(f"Would do as well: {named}. Try it on the plan before you buy.")
    return " ".join(part for part in parts if part)


def _with_have(plan: Plan, line: Line, text: str) -> Plan:
    if not line.key:
        raise ValueError("Your own lines say themselves how many you need.")
    number = text.replace(",", "").removesuffix(line.unit).strip()
    if number and not number.isdigit():
        raise ValueError("Type how many you have, as a whole number; nothing for none.")
    return with_at_hand(plan, line.key, float(min(int(number or 0), int(_MOST))))


def _with_price(plan: Plan, line: Line, text: str) -> Plan:
    if not text:
        return without_own_price(plan, line.key, line.pack)
    price = parse_money(text)
    if not 0.0 <= price <= _MOST:
        raise ValueError("A price is between 0 and a million.")
    if not line.key:
        own = next(known for known in plan.buying.own_lines if known.name == line.item)
        return with_own_line(plan, type(own)(own.name, own.quantity, own.unit, price, own.note))
    return with_own_price(plan, line.key, price, line.pack)
