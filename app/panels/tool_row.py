"""The row of drawing tools above the plan."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QWidget

__all__ = ["ToolRow"]


class ToolRow(QWidget):
    """One button a tool; they follow the actions of the Draw menu."""

    def __init__(self, tools: Mapping[str, QAction], short: Mapping[str, str]) -> None:
        super().__init__()
        line = QHBoxLayout(self)
        line.setContentsMargins(8, 4, 8, 4)
        line.setSpacing(0)
        self.buttons: dict[str, QToolButton] = {}
        for name, action in tools.items():
            action.setIconText(short.get(name, name.capitalize()))
            button = QToolButton()
            button.setDefaultAction(action)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            line.addWidget(button)
            self.buttons[name] = button
        line.addStretch(1)
