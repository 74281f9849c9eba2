"""The row along the window's top: the plan's name, whether it is saved, undo and redo by name, units."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QMenuBar, QPushButton, QSizePolicy, QToolButton, QWidget

from app.document import Document
from app.guard import guarded
from app.panels.words import words
from core.units import UnitSystem

__all__ = ["TitleRow"]

_GAP = 8
_LEAST_NAME = 64  # px: a name of fewer letters says nothing


class TitleRow(QWidget):
    """Shows the document's state; its buttons trigger the window's actions."""

    units_wanted = Signal()

    def __init__(
        self, document: Document, undo: QAction, redo: QAction, lists: tuple[QAction, ...], bar: QMenuBar | None = None
    ) -> None:
        super().__init__()
        self._document = document
        self.name = words("", "body", strong=True)
        self.name.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self.mark = words("edited", tone="muted")
        self.mark.setToolTip("There are changes that are not in the file yet")
        self.undo, self.redo = self._tool(undo), self._tool(redo)
        self.units = QPushButton()
        self.units.setProperty("role", "quiet")
        self.units.setToolTip("Feet and inches, or metric (Ctrl+U)")
        self.units.clicked.connect(self.units_wanted)
        line = self._line = QHBoxLayout(self)
        line.setContentsMargins(8, 6, 16, 6)
        line.setSpacing(_GAP)
        if bar is not None:
            bar.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
            line.addWidget(bar)
        line.addStretch(1)
        line.addWidget(self.name)
        line.addWidget(self.mark)
        line.addStretch(1)
        for widget in (self.undo, self.redo, self.units):
            line.addWidget(widget)
        for action in lists:
            button = QPushButton(action.text().replace("…", "").replace("&", ""))
            button.setToolTip(action.toolTip())
            button.clicked.connect(action.trigger)
            line.addWidget(button)
        document.history_changed.connect(self.refresh)
        document.changed.connect(self._plan_changed)
        self.refresh()

    def _tool(self, action: QAction) -> QToolButton:
        button = QToolButton()
        button.setDefaultAction(action)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        return button

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.refresh()

    def show_units(self, units: UnitSystem) -> None:
        """Say which units are in use."""
        self.units.setText("ft-in" if units is UnitSystem.US else "metric")
        self.units.setAccessibleName(f"Units: {self.units.text()}")

    def _plan_changed(self) -> None:
        # What is said here is about the settled plan, which no gesture changes before its end.
        if not self._document.in_gesture:
            self.refresh()

    def refresh(self) -> None:
        """Show name and state; a narrow window leaves them to its title bar rather than cut the menus."""
        name = self._document.settled_plan.name
        others = [item.widget() for item in map(self._line.itemAt, range(self._line.count())) if item is not None]
        taken = sum(w.sizeHint().width() + _GAP for w in others if w is not None and w is not self.name)
        free = max(self.width() - taken - 4 * _GAP, 0)
        shown = self.name.fontMetrics().elidedText(name, Qt.TextElideMode.ElideRight, free)
        self.name.setText(shown)
        self.name.setToolTip(name)
        self.name.setVisible(free >= _LEAST_NAME)
        self.mark.setVisible(self._document.is_dirty and free >= _LEAST_NAME)
