"""The layouts of one shop: copy, name, switch between, put two side by side, forget."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.panels.entry import Entry
from app.panels.words import rule, words
from core.plan import Plan
from core.plan.alternatives import (
    AlternativeError,
    alternative_names,
    free_name,
    plan_of_alternative,
    renamed_layout,
    with_alternative_shown,
    with_copy_aside,
    without_alternative,
)
from core.shopping import bill_of_materials
from core.units import show_watts

__all__ = ["LayoutsDialog"]

_COLUMNS = ("layout", "fixtures", "power", "shopping list", "")


class LayoutsDialog(QDialog):
    """Stays open beside the window; everything it does is one step of undo, and all layouts are in the plan's file."""

    compare_wanted = Signal(object, object)  # (name, Plan) of two layouts

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self._document = document
        self.setWindowTitle("Layouts of this shop")
        self.name = Entry("Shown now", self._read_name, tip="What the layout on the plan is called")
        self.table = QTableWidget(0, len(_COLUMNS))
        self.table.setHorizontalHeaderLabels(list(_COLUMNS))
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.setAccessibleName("Layouts")
        self.copy = self._button("Go on with a copy", "Put what is shown aside and change a copy of it")
        self.show_it = self._button("Show on the plan", "Put what is shown aside and take this one")
        self.compare = self._button("Compare with shown", "Both side by side, and what differs")
        self.forget = self._button("Remove", "Take this layout out of the file")
        self.trouble = words("", "small", "warn", wrap=True)
        self.trouble.hide()
        self._lay_out()
        self._connect()
        self.resize(600, 320)
        self.refresh()

    def _button(self, text: str, tip: str) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        return button

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self.name, 1)
        top.addWidget(self.copy)
        row = QHBoxLayout()
        for button in (self.show_it, self.compare, self.forget):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 12)
        column.setSpacing(8)
        column.addLayout(top)
        column.addWidget(self.trouble)
        column.addWidget(self.table, 1)
        column.addLayout(row)
        column.addWidget(rule())
        what = (
            "A layout is the fixtures, their switches and kept settings. Room, benches and prices are the same for all."
        )
        column.addWidget(words(what, "small", "muted", wrap=True))

    def _connect(self) -> None:
        self.name.entered.connect(self._rename)
        self.copy.clicked.connect(self.copy_shown)
        self.show_it.clicked.connect(self.show_chosen)
        self.compare.clicked.connect(self.compare_chosen)
        self.forget.clicked.connect(self.forget_chosen)
        self.table.itemSelectionChanged.connect(self._enable)
        self.table.itemDoubleClicked.connect(lambda _item: self.show_chosen())
        self._document.changed.connect(self._changed)

    # --- what is shown

    def _changed(self, old: Plan, new: Plan) -> None:
        if self.isVisible() and not self._document.in_gesture and old is not new:
            self.refresh()

    def refresh(self) -> None:
        """Show the layouts of the plan as it is."""
        plan, chosen = self._document.settled_plan, self.chosen
        self.name.set_value(plan.layout)
        layouts = [(plan.layout, plan), *((name, plan_of_alternative(plan, name)) for name in alternative_names(plan))]
        self.table.setRowCount(len(layouts))
        for row, (name, layout) in enumerate(layouts):
            watts = sum(layout.setting(fixture).watts for fixture in layout.fixtures)
            money = f"{plan.buying.currency}{float(bill_of_materials(layout).total):,.2f}"
            texts = (name, str(len(layout.fixtures)), show_watts(watts), money, "shown" if row == 0 else "")
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if 0 < column < 4:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        names = [name for name, _ in layouts]
        self.table.selectRow(names.index(chosen) if chosen in names else len(names) - 1)
        self._enable()

    @property
    def chosen(self) -> str:
        """The name of the layout that is chosen in the table; empty where there is none."""
        item = self.table.item(self.table.currentRow(), 0)
        return item.text() if item is not None and item.isSelected() else ""

    def _enable(self) -> None:
        is_aside = self.chosen in alternative_names(self._document.settled_plan)
        for button in (self.show_it, self.compare, self.forget):
            button.setEnabled(is_aside)

    # --- what is done

    def copy_shown(self) -> None:
        """Put what is shown aside and go on with a copy of it."""
        plan = self._document.settled_plan
        name = free_name(plan)
        self._apply(f"Copy layout ‘{plan.layout}’", lambda: with_copy_aside(plan, name))
        self.name.line.setFocus()
        self.name.line.selectAll()

    def show_chosen(self) -> None:
        """Take the chosen layout, and put what is shown aside."""
        plan, name = self._document.settled_plan, self.chosen
        if name in alternative_names(plan):
            self._apply(f"Show layout ‘{name}’", lambda: with_alternative_shown(plan, name))

    def compare_chosen(self) -> None:
        """Put the chosen layout beside what is shown."""
        plan, name = self._document.settled_plan, self.chosen
        if name in alternative_names(plan):
            self.compare_wanted.emit((plan.layout, plan), (name, plan_of_alternative(plan, name)))

    def forget_chosen(self) -> None:
        """Take the chosen layout out of the file."""
        plan, name = self._document.settled_plan, self.chosen
        if name in alternative_names(plan):
            self._apply(f"Remove layout ‘{name}’", lambda: without_alternative(plan, name))

    def _read_name(self, text: str) -> str:
        try:
            renamed_layout(self._document.settled_plan, text)
        except AlternativeError as problem:
            raise ValueError(str(problem)) from problem
        return text.strip()

    def _rename(self, name: str) -> None:
        plan = self._document.settled_plan
        if name != plan.layout:
            self._apply("Rename the layout", lambda: renamed_layout(plan, name))

    def _apply(self, text: str, made: Callable[[], Plan]) -> None:
        try:
            plan = made()
        except AlternativeError as problem:
            self.trouble.setText(str(problem))
            self.trouble.show()
            return
        self.trouble.hide()
        self._document.apply(text, plan)
        self.refresh()
