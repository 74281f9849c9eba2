"""The row where fixture models are ticked: one, several, or none for the best of the plan's own.

A list with boxes to tick opens from the field and stays open while it is worked: by mouse, or with the arrow keys and
the space bar; Enter or Esc closes it.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QStandardItem, QStandardItemModel, QWheelEvent
from PySide6.QtWidgets import QStyledItemDelegate

from app.guard import guarded
from app.panels.entry import Row, ShortCombo
from app.panels.words import words
from core.plan import Model
from core.suggest.request import MOST_MODELS

__all__ = ["ModelsChoice"]

_BEST = "The best of this plan’s"
_ARROW_WIDTH = 40
_ROWS, _ROW_HEIGHT = 20, 24
_OPEN_KEYS = (Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_F4)
_CLOSE_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape, Qt.Key.Key_F4)


class _TickList(ShortCombo):
    """A list of boxes to tick; its field shows a text of its own."""

    ticked = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.items = QStandardItemModel(self)
        self.setModel(self.items)
        self.setMaxVisibleItems(_ROWS)
        self.setMinimumContentsLength(6)
        self.setSizeAdjustPolicy(ShortCombo.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # The list's own delegate draws no boxes to tick in some styles.
        self.view().setItemDelegate(QStyledItemDelegate(self))
        self.view().setTextElideMode(Qt.TextElideMode.ElideRight)
        self.view().installEventFilter(self)
        self.view().viewport().installEventFilter(self)

    def shown_text(self) -> str:
        return self.text

    @guarded
    def showPopup(self) -> None:
        wide = self.view().sizeHintForColumn(0) + 2 * _ARROW_WIDTH
        self.view().setMinimumWidth(max(self.width(), wide))
        super().showPopup()

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _OPEN_KEYS:
            self.showPopup()
        else:
            event.ignore()  # letters and arrows choose nothing while the list is closed

    @guarded
    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            index = self.view().indexAt(event.position().toPoint())
            if watched is self.view().viewport() and index.isValid():
                self.ticked.emit(index.row())
                return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and watched is self.view():
            if event.key() == Qt.Key.Key_Space:
                self.ticked.emit(self.view().currentIndex().row())
                return True
            if event.key() in _CLOSE_KEYS:
                self.hidePopup()
                return True
        return super().eventFilter(watched, event)


class ModelsChoice(Row):
    """Holds which models are ticked; ``chosen`` tells their ids."""

    chosen = Signal(object)

    def __init__(self, name: str, tip: str = "") -> None:
        self.box = _TickList()
        super().__init__(name, self.box, tip)
        self.note = words("", "small", "muted", wrap=True)
        self.note.hide()
        layout = self.layout()
        assert layout is not None
        layout.addWidget(self.note)
        self._models: tuple[Model, ...] = ()
        self._own: tuple[Model, ...] = ()
        self._ticked: set[str] = set()
        self.box.ticked.connect(self._toggle)

    def set_models(self, own: Sequence[Model], others: Sequence[Model]) -> None:
        """Offer the plan's own models, then others; what is ticked stays so where it is still offered."""
        self._own, self._models = tuple(own), (*own, *others)
        self._ticked &= {model.id for model in self._models}
        self.box.items.clear()
        names = [_BEST] if own else []
        for text in (*names, *(model.name for model in self._models)):
            item = QStandardItem(text)
            item.setSizeHint(QSize(item.sizeHint().width(), _ROW_HEIGHT))
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
            self.box.items.appendRow(item)
        self._show()

    def value(self) -> tuple[str, ...]:
        """Return the ids of the ticked models, in the order of the list; empty for the best of the plan's."""
        return tuple(model.id for model in self._models if model.id in self._ticked)

    def set_value(self, ids: Sequence[str]) -> None:
        """Tick some models only."""
        self._ticked = {model.id for model in self._models if model.id in ids}
        self._show()

    def _toggle(self, row: int) -> None:
        number = row - (1 if self._own else 0)
        if number < 0:
            self._ticked.clear()
        elif 0 <= number < len(self._models):
            self._ticked ^= {self._models[number].id}
        self._show()
        self.chosen.emit(self.value())

    def _show(self) -> None:
        if not self._own and not self._ticked and self._models:
            self._ticked = {self._models[0].id}  # something has to be ticked
        ids = self.value()
        first = 1 if self._own else 0
        for row in range(self.box.items.rowCount()):
            is_on = self._models[row - first].id in self._ticked if row >= first else not ids
            self.box.items.item(row).setCheckState(Qt.CheckState.Checked if is_on else Qt.CheckState.Unchecked)
        chosen = [model.name for model in self._models if model.id in self._ticked]
        many = f"{len(chosen)} of {len(self._models)} models"
        self.box.text = _BEST if not chosen else chosen[0] if len(chosen) == 1 else many
        self.box.setAccessibleDescription(", ".join(chosen) or _BEST)
        self.box.update()
        looked_at = chosen or [model.name for model in self._own]
        is_much = len(looked_at) > MOST_MODELS
        self.note.setText(f"Only the first {MOST_MODELS} are looked at: {', '.join(looked_at[:MOST_MODELS])}.")
        self.note.setVisible(is_much)
