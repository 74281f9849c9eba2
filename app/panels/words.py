"""Labels, headings and rules of the panels, all set alike."""

from __future__ import annotations

import re

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QSizePolicy

from app.theme import Role, font

__all__ = ["heading", "kept_together", "link", "rule", "upright", "words"]


def words(text: str, size: Role = "body", tone: str = "", strong: bool = False, wrap: bool = False) -> QLabel:
    """Return a label; ``tone`` is '', 'muted', 'warn', 'danger' or 'good'."""
    label = QLabel(text)
    label.setFont(font(size, strong))
    label.setTextFormat(Qt.TextFormat.PlainText)
    if tone:
        label.setProperty("role", tone)
    if wrap:
        label.setWordWrap(True)
        label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    return label


def heading(text: str) -> QLabel:
    """Return a panel's heading: small and quiet, set a little wider."""
    label = words(text, "small", "muted")
    face = label.font()
    face.setLetterSpacing(face.SpacingType.AbsoluteSpacing, 0.4)
    label.setFont(face)
    return label


def kept_together(text: str) -> str:
    """Return text that is not broken between a number and its unit, nor inside feet and inches."""
    return re.sub(r"(?<=\d) (?=(?:%|fc|lx|lm|W|K|ft|in|m|mm|cm)\b|%|\d+/\d)|(?<=\d') (?=\d)", "\u00a0", text)


def link(text: str, tip: str = "") -> QPushButton:
    """Return a button that looks like a line of text in the accent colour."""
    button = QPushButton(text)
    button.setProperty("role", "link")
    button.setCursor(Qt.CursorShape.PointingHandCursor)
    button.setToolTip(tip)
    return button


def rule() -> QFrame:
    """Return a horizontal hairline."""
    frame = QFrame()
    frame.setProperty("role", "rule")
    frame.setFixedHeight(1)
    return frame


def upright() -> QFrame:
    """Return an upright hairline."""
    frame = QFrame()
    frame.setProperty("role", "upright")
    frame.setFixedWidth(1)
    return frame
