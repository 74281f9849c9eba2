"""Prices out of a file: the good rows are offered, the refused ones named with their reason."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.words import heading
from core.shopping import Price, ReadPrices, show_money

__all__ = ["PriceImportDialog"]


class PriceImportDialog(QDialog):
    """Asks which of the offered prices to take over."""

    def __init__(self, read: ReadPrices, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._read = read
        self.setWindowTitle(f"Prices from {name}")
        self.offers = QListWidget()
        self.offers.setAccessibleName("Prices to take over")
        for price in read.offered:
            pack = f", pack of {price.pack}" if price.pack > 1 else ""
            item = QListWidgetItem(f"{price.item}{pack}: {show_money(price.price)}")
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked)
            self.offers.addItem(item)
        self.refused = QPlainTextEdit("\n".join(f"Row {row.row}: {row.reason}." for row in read.refused))
        self.refused.setReadOnly(True)
        self.refused.setAccessibleName("Refused rows")
        self.take = QPushButton(f"Take over {len(read.offered)}" if read.offered else "Take over")
        self.take.setEnabled(bool(read.offered))
        self.take.clicked.connect(self.accept)
        self.offers.itemChanged.connect(self._count)
        leave = QPushButton("Leave all")
        leave.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.take)
        foot.addWidget(leave)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(heading("Offered"))
        column.addWidget(self.offers, 2)
        if read.refused:
            column.addWidget(heading("Refused, and why"))
            column.addWidget(self.refused, 1)
        column.addLayout(foot)
        self.resize(560, 480)

    def chosen(self) -> tuple[Price, ...]:
        """Return the prices that are ticked."""
        ticked = (self.offers.item(n).checkState() == Qt.CheckState.Checked for n in range(self.offers.count()))
        return tuple(price for price, is_on in zip(self._read.offered, ticked, strict=True) if is_on)

    def _count(self) -> None:
        count = len(self.chosen())
        self.take.setText(f"Take over {count}")
        self.take.setEnabled(count > 0)
