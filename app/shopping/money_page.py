"""The money: tax, budget and what to leave out first; spares; and what the light costs to run."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.entry import Entry
from app.panels.words import heading, words
from core.plan import Plan
from core.shopping import Bill, example_prices, running_cost, savings, show_money, with_own_prices
from core.shopping.decisions import with_buying, with_hours
from core.units import UnitError, parse_money, parse_number

__all__ = ["MoneyPage"]

_HEADS = ("combination", "watts", "hours a year", "kWh a year", "money a year")


class MoneyPage(QWidget):
    """Follows the bill that the dialog gives it."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.tax = Entry("sales tax", _share, lambda share: f"{100 * share:g} %", "Added to the total; type 8.25")
        self.budget = Entry("budget", _money, tip="0 for none")
        self.spare = Entry("one spare for", _count, lambda n: f"{n} fixtures" if n else "none", "0 for no spares")
        self.price = Entry("a kWh costs", _money, tip="What your utility charges for a kWh")
        self.old = Entry("old lights", _watts, lambda value: f"{value:g} W", "Watts of the lights that these replace")
        self.entries = {
            "tax": (self.tax, "Change the tax"),
            "budget": (self.budget, "Change the budget"),
            "fixtures_per_spare": (self.spare, "Change how many spares"),
            "energy_price": (self.price, "Change the price of a kWh"),
            "old_watts": (self.old, "Change the old lights"),
        }
        for name, (entry, text) in self.entries.items():
            entry.entered.connect(lambda value, name=name, text=text: self._set(text, name, value))
        self.drop = words("", "small", "warn", wrap=True)
        self.table = make_table("Running cost", _HEADS, (1, 2, 3, 4))
        self.table.itemChanged.connect(self._typed)
        self.cost = words("", "small", "", wrap=True)
        self._lay_out()

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        for place, entry in ((0, self.tax), (1, self.budget), (2, self.spare)):
            grid.addWidget(entry, 0, place)
        for place, entry in ((0, self.price), (1, self.old)):
            grid.addWidget(entry, 1, place)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addLayout(grid)
        column.addWidget(self.drop)
        column.addWidget(heading("What the light costs to run; type the hours of each kept setting"))
        column.addWidget(self.table, 1)
        column.addWidget(self.cost)

    def show_bill(self, plan: Plan, bill: Bill) -> None:
        """Show another plan and its bill."""
        sign = bill.currency
        self.budget.use(lambda text: _money(text, sign), lambda value: f"{sign}{value:,.2f}" if value else "none")
        self.price.use(lambda text: _money(text, sign), lambda value: f"{sign}{value:g}")
        for name, (entry, _) in self.entries.items():
            entry.set_value(getattr(plan.buying, name))
        self.drop.setText(_what_to_drop(plan, bill))
        self.drop.setVisible(bool(self.drop.text()))
        self._show_cost(plan, bill.currency)

    def _show_cost(self, plan: Plan, currency: str) -> None:
        cost = running_cost(plan)
        rows = {row.name: row for row in cost.combinations}
        self.table.blockSignals(True)
        self.table.setRowCount(len(plan.combinations))
        for number, combination in enumerate(plan.combinations):
            row = rows.get(combination.name)
            figures = (
                (f"{row.watts:.0f}", f"{row.hours:g}", f"{row.energy:.1f}", f"{currency}{row.money:,.2f}")
                if row
                else ("",) * 4
            )
            put_row(self.table, number, (combination.name, *figures), (2,), (1, 2, 3, 4))
        self.table.blockSignals(False)
        text = f"{cost.energy:.0f} kWh and {currency}{cost.money:,.2f} a year."
        if cost.old_energy:
            saved = round(cost.old_money, 2) - round(cost.money, 2)  # as the two sums are shown
            text += (
                f" The old lights: {cost.old_energy:.0f} kWh and {currency}{cost.old_money:,.2f} for the same hours:"
                f" {currency}{abs(saved):,.2f} {'less' if saved >= 0.0 else 'more'} a year now."
            )
        self.cost.setText(text)

    def _set(self, text: str, name: str, value: object) -> None:
        self._document.apply(text, with_buying(self._document.settled_plan, **{name: value}))

    def _typed(self, item: QTableWidgetItem) -> None:
        plan = self._document.settled_plan
        combination = plan.combinations[item.row()]
        try:
            hours = parse_number(item.text().strip() or "0")
            if not 0.0 <= hours <= 8784.0:
                raise ValueError("A year has 8,784 hours at most.")
        except (UnitError, ValueError) as problem:
            self.cost.setText(str(problem))
            self._show_cost(plan, plan.buying.currency)
            self.cost.setText(str(problem))
            return
        self._document.apply(f"Hours of {combination.name}", with_hours(plan, combination.name, hours))


def _what_to_drop(plan: Plan, bill: Bill) -> str:
    if bill.budget is None or bill.total_with_tax <= bill.budget:
        return ""
    found = savings(bill, with_own_prices(example_prices(), plan.buying))
    over = show_money(bill.total_with_tax - bill.budget, bill.currency)
    named = "; ".join(f"{saving.what} (saves {show_money(saving.saves, bill.currency)})" for saving in found)
    if not found:
        return f"{over} over the budget. Nothing here can be left out without harm: look for other fixtures."
    end = "That is enough." if found[-1].is_enough else "That is not enough: look for other fixtures, or fewer."
    return f"{over} over the budget. First to go: {named}. {end}"


def _share(text: str) -> float:
    value = parse_number(text.replace("%", "").strip()) / 100.0
    if not 0.0 <= value <= 1.0:
        raise ValueError("Type the tax in per cent, as 8.25.")
    return value


def _money(text: str, currency: str = "") -> float:
    text = text.strip().removeprefix(currency)
    value = parse_money(text) if text.lower() != "none" else 0.0
    if not 0.0 <= value <= 1_000_000.0:
        raise ValueError("Type an amount from 0 to a million.")
    return value


def _count(text: str) -> int:
    value = parse_number(text.lower().replace("fixtures", "").replace("none", "0").strip())
    if not 0 <= value <= 1000 or value != int(value):
        raise ValueError("Type a whole number of fixtures; 0 for no spares.")
    return int(value)


def _watts(text: str) -> float:
    value = parse_number(text.upper().replace("W", "").strip())
    if not 0.0 <= value <= 1_000_000.0:
        raise ValueError("Type the watts of the old lights, as 400.")
    return value
