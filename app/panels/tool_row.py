"""The row of drawing tools above the plan."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QIcon
from PySide6.QtWidgets import QToolBar, QToolButton

__all__ = ["ToolRow"]


class ToolRow(QToolBar):
    """One button a tool; they follow the actions of the Draw menu. What finds no room goes into a menu at the end."""

    def __init__(self, tools: Mapping[str, QAction], short: Mapping[str, str]) -> None:
        super().__init__()
        self.setMovable(False)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self.setAccessibleName("Drawing tools")
        more = self.findChild(QToolButton, "qt_toolbar_ext_button")
        if more is not None:
            more.setIcon(QIcon())  # the style sheet draws its mark
            more.setToolTip("More tools")
        for name, action in tools.items():
            action.setIconText(short.get(name, name.capitalize()))
            self.addAction(action)
            self.widgetForAction(action).setFocusPolicy(Qt.FocusPolicy.TabFocus)
