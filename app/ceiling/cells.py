"""Tables whose cells are typed into: they take up new figures without disturbing an entry that is under way."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

__all__ = ["make_table", "put_row"]

_FIXED = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def make_table(name: str, heads: Sequence[str], narrow: Collection[int]) -> QTableWidget:
    """Return an empty table; a double click, F2 or any letter begins an entry."""
    table = QTableWidget(0, len(heads))
    table.setHorizontalHeaderLabels(list(heads))
    table.verticalHeader().hide()
    table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
    for column in narrow:
        table.horizontalHeader().setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
    trigger = QAbstractItemView.EditTrigger
    table.setEditTriggers(trigger.DoubleClicked | trigger.EditKeyPressed | trigger.AnyKeyPressed)
    table.setAccessibleName(name)
    table.setTabKeyNavigation(False)  # Tab leaves the table; arrow keys move in it
    return table


def put_row(
    table: QTableWidget, row: int, texts: Sequence[str], typed: Collection[int], right: Collection[int]
) -> None:
    """Show texts in a row; only the cells of ``typed`` columns can be typed into. Cells that are right stay."""
    for column, text in enumerate(texts):
        item = table.item(row, column)
        if item is None:
            item = QTableWidgetItem(text)
            if column not in typed:
                item.setFlags(_FIXED)
            if column in right:
                item.setTextAlignment(_RIGHT)
            table.setItem(row, column, item)
        elif item.text() != text:
            item.setText(text)
