"""A table that never scrolls sideways and, while it is empty, says in words what to do."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QTableWidget

from app.guard import guarded
from app.theme import font

__all__ = ["ToldTable"]

_PADDING, _ABOVE = 22, 14
_WRAP = int(Qt.TextFlag.TextWordWrap)


class ToldTable(QTableWidget):
    """``empty`` is what an empty table says."""

    def __init__(self, empty: str) -> None:
        super().__init__()
        self._empty = empty
        self.verticalHeader().hide()
        self.setWordWrap(True)
        self.setAlternatingRowColors(True)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)  # Tab leaves the table; arrow keys move in it
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.timeout.connect(self.wrap_rows)
        self.horizontalHeader().sectionResized.connect(lambda *_: self._calm.start())

    @property
    def empty(self) -> str:
        """What the table says while it is empty."""
        return self._empty

    def say_when_empty(self, text: str) -> None:
        """Change what an empty table says."""
        self._empty = text
        self.setAccessibleDescription(text if not self.rowCount() else "")
        self.viewport().update()

    def wrap_rows(self) -> None:
        """Make every row as high as its wrapped text (Qt's own sum leaves the padding of cells out of account)."""
        metrics = self.fontMetrics()
        wide = [max(self.columnWidth(column) - _PADDING, 10) for column in range(self.columnCount())]
        for row in range(self.rowCount()):
            texts = [(item.text(), wide[column]) for column in range(len(wide)) if (item := self.item(row, column))]
            heights = [metrics.boundingRect(QRect(0, 0, room, 10_000), _WRAP, text).height() for text, room in texts]
            self.setRowHeight(row, max(heights, default=0) + _ABOVE)

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._calm.start()

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.rowCount():
            return
        painter = QPainter(self.viewport())
        painter.setFont(font("body"))
        painter.setPen(self.palette().placeholderText().color())
        painter.drawText(QRectF(self.viewport().rect()).adjusted(16, 16, -16, -16), _WRAP, self._empty)
        painter.end()
