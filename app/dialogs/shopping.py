"""The shopping list: what to buy and why, what it costs now and every year; to be copied, saved or printed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QInputDialog,
    QMenu,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.reading_matter import CAUTION_IN_SHORT
from app.document import Document
from app.panels.words import words
from app.shopping.list_page import ListPage
from app.shopping.money_page import MoneyPage
from app.shopping.price_import import PriceImportDialog
from app.style import restyle
from core.plan.buying import OwnLine
from core.plan.safe_write import write_safely, writing_trouble
from core.shopping import (
    Bill,
    PriceFileError,
    bill_csv,
    bill_of_materials,
    bill_page,
    bill_text,
    example_prices,
    price_list_csv,
    read_prices,
    show_money,
    with_own_prices,
)
from core.shopping.decisions import with_own_line, with_prices_taken, without_own_line
from core.tables import slug

__all__ = ["ShoppingDialog"]

_FILTERS = "CSV table (*.csv);;Page to print, with boxes to tick (*.html);;Plain text (*.txt)"
_WRITERS = {".html": bill_page, ".htm": bill_page, ".txt": bill_text}
_MOST_NAME = 120


class ShoppingDialog(QDialog):
    """Follows the plan while it is open."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.bill: Bill = bill_of_materials(document.plan)
        self.setWindowTitle("Shopping list")
        self.list = ListPage(document)
        self.table = self.list.table
        self.money = MoneyPage(document)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.list, "List")
        self.tabs.addTab(self.money, "Money")
        self.total = words("", "body", strong=True)
        self.remark = words("", "small", "muted", wrap=True)
        self.said = words("", "small", "good", wrap=True)
        self._lay_out()
        document.changed.connect(self.refresh)
        self.resize(960, 600)
        self.refresh()

    def _lay_out(self) -> None:
        self.own = self._button("Add a line…", self.ask_for_line, "A line of your own")
        self.prices = self._button("Prices", None, "Read prices from a file, or save them to share")
        menu = QMenu(self.prices)
        menu.addAction("Read from a file…").triggered.connect(lambda _=False: self.ask_for_prices())
        menu.addAction("Save to a file…").triggered.connect(lambda _=False: self.ask_and_save_prices())
        self.prices.setMenu(menu)
        self.copy = self._button("Copy", self.copy_text, "Copy the list as text")
        self.save = self._button("Save…", self.ask_and_save, "As a table, as a page to print, or as text for a phone")
        close = self._button("Close", self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        for button in (self.own, self.prices, self.copy, self.save, close):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(self.tabs, 1)
        column.addWidget(self.total, 0, Qt.AlignmentFlag.AlignRight)
        column.addWidget(self.remark)
        column.addWidget(words(CAUTION_IN_SHORT, "small", "muted", wrap=True))
        column.addLayout(foot)

    def _button(self, text: str, do: Callable[[], object] | None, tip: str = "") -> QPushButton:
        button = QPushButton(text)
        button.setAutoDefault(False)
        button.setToolTip(tip)
        if do is not None:
            button.clicked.connect(lambda _=False: do())
        return button

    def refresh(self) -> None:
        """Write the list for the present plan."""
        if self._document.in_gesture:
            return
        plan = self._document.plan
        self.bill = bill_of_materials(plan)
        self.list.show_bill(self.bill)
        self.money.show_bill(plan, self.bill)
        self.total.setText(_sums(self.bill))
        self.remark.setText(_remark(self.bill))
        self.remark.setVisible(bool(self.remark.text()))

    def copy_text(self) -> None:
        """Put the list on the clipboard as plain text."""
        QGuiApplication.clipboard().setText(bill_text(self.bill))
        self._say("Copied.")

    def ask_and_save(self) -> None:
        """Ask for a file and save the list there."""
        name, kind = QFileDialog.getSaveFileName(
            self, "Save the shopping list", f"{slug(self.bill.name)}-shopping-list.csv", _FILTERS
        )
        if name:
            path = Path(name)
            ending = next((end for end in (".html", ".txt") if end in kind), ".csv")
            self.save_to(path if path.suffix else path.with_suffix(ending))

    def save_to(self, path: Path) -> None:
        """Save the list, its ending says as what; say how that went."""
        path = path if path.suffix else path.with_suffix(".csv")
        self._write(path, _WRITERS.get(path.suffix.lower(), bill_csv)(self.bill))

    def ask_for_prices(self) -> None:
        """Ask for a price list and offer what is in it."""
        name, _ = QFileDialog.getOpenFileName(self, "Read prices", "", "CSV tables (*.csv);;All files (*)")
        if name:
            self.read_prices_from(Path(name))

    def read_prices_from(self, path: Path) -> None:
        """Offer the good rows of a price list; name the bad ones."""
        try:
            read = read_prices(path.read_bytes())
        except (OSError, PriceFileError) as problem:
            reason = problem.strerror if isinstance(problem, OSError) else str(problem)
            self._say(f"{path.name}: {reason}", "danger")
            return
        dialog = PriceImportDialog(read, path.name, self)
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        chosen = dialog.chosen()
        dialog.deleteLater()
        if accepted and chosen:
            plan = with_prices_taken(self._document.settled_plan, chosen)
            self._document.apply(f"Take over {len(chosen)} prices", plan)
            self._say(f"{len(chosen)} prices taken over.")

    def ask_and_save_prices(self) -> None:
        """Ask for a file and save all prices there, to be edited or shared."""
        name, _ = QFileDialog.getSaveFileName(self, "Save prices", "prices.csv", "CSV tables (*.csv)")
        if name:
            self.save_prices_to(Path(name))

    def save_prices_to(self, path: Path) -> None:
        """Save the price list with the user's own prices in it."""
        prices = with_own_prices(example_prices(), self._document.plan.buying)
        self._write(path if path.suffix else path.with_suffix(".csv"), price_list_csv(prices))

    def ask_for_line(self) -> None:
        """Ask for a line of the user's own; a name that is there already goes, if it is asked to."""
        text, fine = QInputDialog.getText(self, "Your own line", "What else do you need?")
        name = " ".join(text.split())[:_MOST_NAME]
        if not fine or not name:
            return
        plan = self._document.settled_plan
        if any(line.name == name for line in plan.buying.own_lines):
            self._document.apply(f"Remove {name}", without_own_line(plan, name))
            self._say(f"{name} was on the list; it is removed.")
            return
        self._document.apply(f"Add {name}", with_own_line(plan, OwnLine(name)))
        self._say("Added; type its price in the list. The same name again removes it.")

    def _write(self, path: Path, text: str) -> None:
        try:
            write_safely(path, text.encode("utf-8", errors="replace"))
        except (OSError, ValueError) as problem:
            self._say(f"Not saved. {writing_trouble(path, problem)}", "danger")
            return
        self._say(f"Saved to {path}.")

    def _say(self, text: str, tone: str = "good") -> None:
        self.said.setProperty("role", tone)
        self.said.setText(text)
        restyle(self.said)


def _sums(bill: Bill) -> str:
    text = f"Total {show_money(bill.total, bill.currency)}"
    if bill.tax:
        text += f", with tax {show_money(bill.total_with_tax, bill.currency)}"
    if bill.budget is not None:
        over = bill.total_with_tax - bill.budget
        text += f", {show_money(abs(over), bill.currency)} {'over' if over > 0 else 'within'} the budget"
    return text


def _remark(bill: Bill) -> str:
    parts = []
    if not bill.lines:
        return "Nothing hangs here yet: drag fixtures onto the plan."
    if bill.has_example_prices:
        parts.append("Prices of the invented examples are placeholders; type your store's over them.")
    if bill.unpriced:
        parts.append(f"{len(bill.unpriced)} line(s) have no price yet and are not in the total.")
    return " ".join(parts)
