"""Texts to read: the cautions, and the list of keys."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QGridLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.panels.words import heading, words

__all__ = ["CAUTIONS", "CAUTION_IN_SHORT", "KEYS", "CautionsDialog", "KeysDialog"]

CAUTION_IN_SHORT = (
    "Wiring and work on ladders can hurt or kill. What your code and your inspector say comes first; "
    "where the law asks for a licensed electrician, have one do it."
)

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "A plan is no permit",
        "Its figures are predictions from data sheets and from what you drew. Local electrical and "
        "building code, the maker's instructions and the inspector come before anything shown here. "
        "Where a permit or a licensed electrician is required, that is the way to do it.",
    ),
    (
        "Before any work on a circuit",
        "Switch its breaker off, keep others from switching it on, and prove that every conductor is "
        "dead with a tester that you have just tried on a live outlet. A wall switch that is off is "
        "not enough.",
    ),
    (
        "Dust, damp and hidden lines",
        "Wood dust, finishing vapours and damp basements call for fixtures that are listed for such "
        "places. Before you drill, find out what runs behind: cables, pipes, ducts, sprinkler lines.",
    ),
    (
        "On ladders and at the ceiling",
        "Use a ladder that is rated for you and your load, on firm ground, with somebody near. Do not "
        "reach out sideways, and do not stand on the top steps. Long and heavy fixtures take two "
        "people. Hang them on framing or on anchors that are rated for the weight, never on drywall "
        "alone.",
    ),
    (
        "Overhead doors and machines",
        "Mind the tracks, the springs and the opener of an overhead door: a fixture must clear the "
        "open door. Lock out machines while you work above them.",
    ),
)

KEYS: tuple[tuple[str, str], ...] = (
    ("A, B, C …", "flip the switch with that letter"),
    ("Shift + letter", "put the selected fixtures on that switch"),
    ("1 to 9", "set the switches as in that kept setting"),
    ("Enter on the shelf", "place the thing in the middle of the room"),
    ("Tab, Shift+Tab", "go on or back: through the things of the plan, then the controls"),
    ("Enter", "go to the fields of what is selected (Esc: back to the drawing)"),
    ("Arrow keys", "nudge the selection 1 in or 10 mm (Shift: 1 ft or 100 mm, Ctrl: 1/4 in or 1 mm)"),
    ("R", "turn the selection by 90° (Shift: 15°)"),
    ("Shift + click", "add to the selection, or take out of it"),
    ("Ctrl + click", "select what lies below; at last the picture underneath"),
    ("Double click", "on a wall: put a corner; on an overhead door: open or shut it; on a note: rewrite it"),
    ("Alt or Ctrl while dragging", "no snapping"),
    ("Shift while dragging", "keep what is moved level or upright"),
    ("Shift as you drop a fixture", "rows and columns of it"),
    ("Click on a length", "type it"),
    ("Digits while drawing", "type a length, an angle or a place instead of pointing"),
    ("Enter, Backspace", "close the outline; take its last corner back"),
    ("Shift + click with the joist tool", "set corners of a part with joists of its own"),
    ("Esc", "back to selecting; a half-done gesture is dropped"),
    ("Wheel", "zoom to the pointer (Shift: move sideways)"),
    ("F", "whole room (Shift: the selection), unless there is a switch F"),
    ("Space or middle button", "hold and drag to move the sheet"),
    ("Alt + underlined letter", "open a menu"),
)
"""Keys that are no menu's; those of the menus are read off the menus."""


class _Page(QDialog):
    def __init__(self, title: str, sheet: QWidget, size: tuple[int, int], parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(sheet)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(scroll, 1)
        column.addWidget(buttons)
        self.resize(*size)


class CautionsDialog(_Page):
    """What can hurt, and who has the last word."""

    def __init__(self, parent: QWidget | None = None) -> None:
        sheet = QWidget()
        column = QVBoxLayout(sheet)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(4)
        for title, text in CAUTIONS:
            column.addWidget(words(title, strong=True, wrap=True))
            body = words(text, wrap=True)
            body.setContentsMargins(0, 0, 0, 10)
            column.addWidget(body)
        column.addStretch(1)
        super().__init__("Cautions", sheet, (600, 560), parent)


class KeysDialog(_Page):
    """What the keys do."""

    def __init__(self, parent: QWidget | None = None, keys: Sequence[tuple[str, str]] = KEYS) -> None:
        sheet = QWidget()
        grid = QGridLayout(sheet)
        grid.setContentsMargins(0, 0, 8, 0)
        grid.setHorizontalSpacing(24)
        grid.setVerticalSpacing(6)
        grid.addWidget(heading("key"), 0, 0)
        grid.addWidget(heading("does"), 0, 1)
        for row, (key, does) in enumerate(keys, start=1):
            grid.addWidget(words(key, strong=True), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(words(does, wrap=True), row, 1)
        grid.setColumnStretch(1, 1)
        grid.setRowStretch(len(keys) + 1, 1)
        super().__init__("Keys", sheet, (560, 600), parent)
