"""The shopping list: what to buy, what it costs; to be copied, or saved for a spreadsheet."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.reading_matter import CAUTION_IN_SHORT
from app.document import Document
from app.panels.words import words
from app.style import restyle
from core.shopping import Bill, Line, bill_csv, bill_of_materials, bill_text, show_money
from core.tables import slug

__all__ = ["ShoppingDialog"]

_HEADS = ("item", "for", "quantity", "price each", "price", "note")
_NUMBERS = (2, 3, 4)


class ShoppingDialog(QDialog):
    """Follows the plan while it is open."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.bill: Bill = bill_of_materials(document.plan)
        self.setWindowTitle("Shopping list")
        self.table = QTableWidget()
        self.table.setColumnCount(len(_HEADS))
        self.table.setHorizontalHeaderLabels(_HEADS)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setAlternatingRowColors(True)
        self.table.setWordWrap(True)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setAccessibleName("Shopping list")
        self.table.itemSelectionChanged.connect(self._select_places)
        self.total = words("", "body", strong=True)
        self.remark = words("", "small", "muted", wrap=True)
        self.said = words("", "small", "good")
        self.copy = QPushButton("Copy")
        self.copy.setToolTip("Copy the list as text")
        self.copy.clicked.connect(self.copy_text)
        self.save = QPushButton("Save as CSV…")
        self.save.clicked.connect(self.ask_and_save)
        close = QPushButton("Close")
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        for button in (self.copy, self.save, close):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addWidget(self.total, 0, Qt.AlignmentFlag.AlignRight)
        column.addWidget(self.remark)
        column.addWidget(words(CAUTION_IN_SHORT, "small", "muted", wrap=True))
        column.addLayout(foot)
        document.changed.connect(self.refresh)
        self.resize(900, 520)
        self.refresh()

    def refresh(self) -> None:
        """Write the list for the present plan."""
        if self._document.in_gesture:
            return
        self.bill = bill_of_materials(self._document.plan)
        self.table.blockSignals(True)
        self.table.setRowCount(len(self.bill.lines))
        for row, line in enumerate(self.bill.lines):
            for column, text in enumerate(_cells(line)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                if column in _NUMBERS:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)
        self.table.blockSignals(False)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        for column in _NUMBERS:
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self.total.setText(f"Total {show_money(self.bill.total)}")
        self.remark.setText(_remark(self.bill))
        self.remark.setVisible(bool(self.remark.text()))

    def copy_text(self) -> None:
        """Put the list on the clipboard as plain text."""
        QGuiApplication.clipboard().setText(bill_text(self.bill))
        self._say("Copied.")

    def ask_and_save(self) -> None:
        """Ask for a file and save the list there."""
        name, _ = QFileDialog.getSaveFileName(
            self, "Save the shopping list", f"{slug(self.bill.name)}-shopping-list.csv", "CSV tables (*.csv)"
        )
        if name:
            self.save_to(Path(name))

    def save_to(self, path: Path) -> None:
        """Save the list as CSV; say how that went."""
        path = path if path.suffix else path.with_suffix(".csv")
        try:
            path.write_text(bill_csv(self.bill), encoding="utf-8", newline="")
        except OSError as problem:
            self._say(f"Not saved: {problem.strerror}. Try another folder.", "danger")
            return
        self._say(f"Saved to {path}.")

    def _say(self, text: str, tone: str = "good") -> None:
        self.said.setProperty("role", tone)
        self.said.setText(text)
        restyle(self.said)

    def _select_places(self) -> None:
        """Show on the plan what the chosen lines are for."""
        rows = {index.row() for index in self.table.selectedIndexes()}
        if rows:
            self._document.select(place for row in rows for place in self.bill.lines[row].places)


def _cells(line: Line) -> tuple[str, ...]:
    count = f"{line.quantity:,} {line.unit}" if line.unit != "each" else f"{line.quantity:,}"
    if line.pack > 1:
        count += f" ({line.packs} × {line.pack})"
    each = "no price yet" if line.price_each is None else show_money(line.price_each)
    return line.item, line.for_, count, each, show_money(line.price), line.note


def _remark(bill: Bill) -> str:
    parts = []
    if not bill.lines:
        return "Nothing hangs here yet: drag fixtures onto the plan."
    if bill.has_example_prices:
        parts.append("Prices of the invented examples are placeholders; put your store's in their data sheets.")
    if bill.unpriced:
        parts.append(f"{len(bill.unpriced)} line(s) have no price yet and are not in the total.")
    return " ".join(parts)
