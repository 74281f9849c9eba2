"""The shopping list in the window: prices and stock are typed, the money follows, price files are offered by row."""

from __future__ import annotations

from decimal import Decimal

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.dialogs.shopping import ShoppingDialog
from app.document import Document
from app.shopping.price_import import PriceImportDialog
from app.window import MainWindow
from core.demo import demo_plan
from core.light.engine import LightEngine
from core.shopping import bill_of_materials, read_prices
from tests.app.wiring.test_wiring_window import type_into_cell


@pytest.fixture
def document(qapp):
    return Document(demo_plan("bicycle_garage"))


@pytest.fixture
def dialog(document, qtbot):
    made = ShoppingDialog(document)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def row_of(dialog, key):
    return next(n for n, line in enumerate(dialog.bill.lines) if line.key == key)


def test_have_it_already(dialog, document):
    before = dialog.bill.total
    type_into_cell(dialog.table, row_of(dialog, "panel-2x4"), 3, "3")
    assert document.plan.buying.had("panel-2x4") == 3
    assert before - dialog.bill.total == 3 * Decimal("92.00")
    assert dialog.table.item(row_of(dialog, "panel-2x4"), 4).text() == "1"
    type_into_cell(dialog.table, row_of(dialog, "panel-2x4"), 3, "some")
    assert "whole number" in dialog.list.why.text()
    assert document.plan.buying.had("panel-2x4") == 3


def test_own_prices(dialog, document):
    type_into_cell(dialog.table, row_of(dialog, "dimmer 0-10 V"), 5, "$29.50")
    line = dialog.bill.lines[row_of(dialog, "dimmer 0-10 V")]
    assert line.price == Decimal("59.00")
    type_into_cell(dialog.table, row_of(dialog, "dimmer 0-10 V"), 5, "")
    assert dialog.bill.lines[row_of(dialog, "dimmer 0-10 V")].price == Decimal("68.00")
    assert document.plan.buying.prices == ()


def test_a_line_says_why_and_shows_where(dialog, document):
    row = row_of(dialog, "clamp")
    dialog.table.selectRow(row)
    assert "10 cable ends enter 6 fixtures" in dialog.list.why.text()
    assert document.selection == frozenset(dialog.bill.lines[row].places)


def enter(entry, text):
    entry.line.setFocus()
    entry.line.selectAll()
    QTest.keyClicks(entry.line, text)
    QTest.keyClick(entry.line, Qt.Key.Key_Return)


def test_budget_tax_and_running_cost(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.money)
    enter(dialog.money.tax, "10")
    assert document.plan.buying.tax == pytest.approx(0.10)
    enter(dialog.money.budget, "1400")
    assert dialog.money.budget.line.text() == "$1,400.00"
    assert "over the budget" in dialog.money.drop.text()
    assert "over the budget" in dialog.total.text()
    enter(dialog.money.budget, "lots")
    assert dialog.money.budget.is_wrong
    type_into_cell(dialog.money.table, 0, 2, "100")
    # Brazing: 168 W, so 16.8 kWh a year.
    assert dialog.money.table.item(0, 3).text() == "16.8"
    type_into_cell(dialog.money.table, 0, 2, "9999")
    assert "8,784" in dialog.money.cost.text()


def test_saved_as_table_page_and_text(dialog, tmp_path):
    for name, begin in (("list.csv", "item,for"), ("list.html", "<!DOCTYPE html>"), ("list.txt", "Shopping list")):
        dialog.save_to(tmp_path / name)
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(begin)


def test_prices_from_a_file_are_offered(dialog, document, tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text(
        "key,item,unit,pack,price\nstaple,Staple,each,100,4.00\nclamp,Clamp,each,5,cheap\n", encoding="utf-8"
    )
    seen = []

    def answer():
        offer = QApplication.activeModalWidget()
        assert isinstance(offer, PriceImportDialog)
        seen.append(offer.refused.toPlainText())
        QTest.mouseClick(offer.take, Qt.MouseButton.LeftButton)

    QTimer.singleShot(100, answer)
    dialog.read_prices_from(path)
    assert "Row 3" in seen[0]
    assert "not a number" in seen[0]
    assert dialog.bill.lines[row_of(dialog, "staple")].price == Decimal("4.00")
    dialog.save_prices_to(tmp_path / "shared.csv")
    shared = read_prices((tmp_path / "shared.csv").read_bytes())
    assert shared.refused == ()
    assert next(p.price for p in shared.offered if (p.key, p.pack) == ("staple", 100)) == Decimal("4.00")
    dialog.read_prices_from(tmp_path / "missing.csv")
    assert dialog.said.property("role") == "danger"
    assert bill_of_materials(document.plan).total == dialog.bill.total


def test_only_ticked_prices_are_taken(qtbot):
    read = read_prices("key,price\nstaple,1\nclamp,2\n")
    offer = PriceImportDialog(read, "prices.csv")
    qtbot.addWidget(offer)
    offer.offers.item(0).setCheckState(Qt.CheckState.Unchecked)
    assert [price.key for price in offer.chosen()] == ["clamp"]
    assert offer.take.text() == "Take over 1"


def test_a_line_rings_its_switch_boxes_on_the_plan(qtbot):
    QSettings().clear()
    window = MainWindow(demo_plan("bicycle_garage"), engine=LightEngine(step=1.0))
    qtbot.addWidget(window, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    window.show()
    qtbot.waitExposed(window)
    try:
        window.show_shopping_list()
        dialog = window.findChild(ShoppingDialog)
        row = next(n for n, line in enumerate(dialog.bill.lines) if line.key == "switch three-way")
        assert not window.wiring.sheet.isVisible()
        dialog.table.selectRow(row)
        assert window.wiring.sheet.pointed == {"switch-box-1", "switch-box-2"}
        assert window.wiring.sheet.isVisible()
        assert "One for each group in each box" in dialog.list.why.text()
        dialog.table.selectRow(0)
        assert window.document.selection == frozenset(dialog.bill.lines[0].places)
        assert not window.wiring.sheet.isVisible()
        dialog.table.selectRow(row)
        dialog.close()
        assert not window.wiring.sheet.isVisible()
    finally:
        window.checks.shutdown()
        window.solver.shutdown()
