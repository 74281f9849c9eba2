"""One row of a form: what it is, the field, and under it, where needed, why an entry cannot be used.

An entry that is not understood stays in the field as it was typed; the plan keeps the last good value. Esc
brings that value back; with nothing to bring back, it closes the dialog. Several things that differ show
'mixed' until something is entered for all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QPaintEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
    QVBoxLayout,
    QWidget,
)

from app.guard import guarded
from app.panels.words import words
from app.style import restyle

__all__ = ["LABEL_WIDTH", "MIXED", "Choice", "Entry", "Row", "ShortCombo", "common", "within"]

LABEL_WIDTH = 96
_ARROW_WIDTH = 40  # px that a list needs beside its text


class _Mixed:
    def __repr__(self) -> str:
        return "mixed"


MIXED = _Mixed()


def common(values: Iterable[Any]) -> Any:
    """Return the value that all have, MIXED where they differ, None where there is none."""
    found = list(values)
    if not found:
        return None
    return found[0] if all(value == found[0] for value in found) else MIXED


def within(
    parse: Callable[[str], float], low: float, high: float, show: Callable[[float], str]
) -> Callable[[str], float]:
    """Return a reader that also refuses what lies outside ``low`` to ``high``, in plain words."""

    def read(text: str) -> float:
        value = parse(text)
        if not low - 1e-9 <= value <= high + 1e-9:
            raise ValueError(f"Use a value from {show(low)} to {show(high)}; {show(value)} is outside.")
        return min(max(value, low), high)

    return read


class Row(QWidget):
    """A label, a field, and a place for an explanation under the field."""

    def __init__(self, name: str, field: QWidget, tip: str = "", label_width: int = LABEL_WIDTH) -> None:
        super().__init__()
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(2)
        line = QHBoxLayout()
        line.setSpacing(8)
        self.label = words(name, tone="muted")
        self.label.setFixedWidth(label_width)
        self.label.setBuddy(field)
        line.addWidget(self.label)
        line.addWidget(field, 1)
        outer.addLayout(line)
        self.why = words("", "small", "danger", wrap=True)
        self.why.hide()
        outer.addWidget(self.why)
        field.setAccessibleName(name)
        field.setToolTip(tip)
        self.label.setToolTip(tip)

    def explain(self, reason: str) -> None:
        """Show why an entry cannot be used; an empty reason clears it."""
        self.why.setText(reason)
        self.why.setVisible(bool(reason))


class _Line(QLineEdit):
    """Undoes what is being typed; once that is taken, Ctrl+Z is for the plan."""

    given_up = Signal()

    @guarded
    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            is_spent = (event.matches(QKeySequence.StandardKey.Undo) and not self.isUndoAvailable()) or (
                event.matches(QKeySequence.StandardKey.Redo) and not self.isRedoAvailable()
            )
            if is_spent:
                event.ignore()
                return False
        return super().event(event)

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            typed = self.text()
            self.given_up.emit()
            event.setAccepted(self.text() != typed)  # with nothing to bring back, Esc is for the dialog around it
        else:
            super().keyPressEvent(event)
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                event.accept()  # else a dialog would take Enter for its default button


class Entry(Row):
    """A typed value: ``read`` makes a value of text (ValueError says what is wrong), ``show`` the reverse."""

    entered = Signal(object)

    def __init__(self, name: str, read: Callable[[str], Any], show: Callable[[Any], str] = str, tip: str = "") -> None:
        self.line = _Line()
        super().__init__(name, self.line, tip)
        self._read, self._show = read, show
        self._shown = self._before = self._example = ""
        self.line.setMinimumWidth(60)
        self.line.editingFinished.connect(self.take)
        self.line.given_up.connect(self.restore)

    @property
    def is_wrong(self) -> bool:
        """Whether the field holds an entry that was refused."""
        return bool(self.line.property("wrong"))

    def show_example(self, text: str) -> None:
        """Show faintly in an empty field what could be typed."""
        self._example = text
        self.line.setPlaceholderText(text)

    def use(self, read: Callable[[str], Any], show: Callable[[Any], str]) -> None:
        """Change how values are read and shown (another system of units)."""
        self._read, self._show = read, show

    def set_value(self, value: Any) -> None:
        """Show a value, MIXED or None; a half-typed or refused entry is left alone."""
        text = "" if value is None or value is MIXED else self._show(value)
        self.line.setPlaceholderText("mixed" if value is MIXED else self._example)
        untouched = self.line.text() == self._shown
        self._shown = text
        if untouched:
            self._put(text)

    def restore(self) -> None:
        """Bring back the value that is in force."""
        self._put(self._shown)
        self.line.selectAll()

    def take(self) -> None:
        """Read what was typed and pass it on, or say why that cannot be."""
        text = self.line.text().strip()
        if text == self._shown:
            self._mark("")
            self._forget_typing()
            return
        try:
            value = self._read(text)
        except ValueError as problem:
            self._mark(str(problem))
            return
        self._mark("")
        self._before, self._shown = self._shown, self._show(value)
        self._put(self._shown)
        self._forget_typing()
        self.entered.emit(value)

    def _forget_typing(self) -> None:
        """Leave nothing for Ctrl+Z to undo in the field: from now on it is for the plan."""
        if self.line.isUndoAvailable() or self.line.isRedoAvailable():
            place = self.line.cursorPosition()
            self.line.setText(self._shown)
            self.line.setCursorPosition(place)

    def refuse(self, reason: str) -> None:
        """Say why a value that was understood cannot be used here; the one before stays in force."""
        self._shown = self._before
        self._mark(reason)

    def _put(self, text: str) -> None:
        if self.line.text() != text:
            self.line.setText(text)
            self.line.setCursorPosition(0)
        self._mark("")

    def _mark(self, reason: str) -> None:
        self.explain(reason)
        if self.is_wrong != bool(reason):
            self.line.setProperty("wrong", bool(reason))
            restyle(self.line)


class _NoWheel(QObject):
    """Keeps the wheel from changing a list that the page is only scrolled past."""

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Wheel and isinstance(watched, QWidget) and not watched.hasFocus():
            event.ignore()
            return True
        return False


class ShortCombo(QComboBox):
    """A list whose chosen text is cut with an ellipsis where it is too long for the box."""

    def shown_text(self) -> str:
        """Return what the box shows: what is chosen."""
        return self.currentText() or self.placeholderText()

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        room = self.width() - _ARROW_WIDTH
        option.currentText = self.fontMetrics().elidedText(self.shown_text(), Qt.TextElideMode.ElideRight, room)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        painter.end()


class Choice(Row):
    """A value out of a list."""

    chosen = Signal(object)

    def __init__(self, name: str, options: Iterable[tuple[str, Any]] = (), tip: str = "") -> None:
        self.box: QComboBox = ShortCombo()
        super().__init__(name, self.box, tip)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.box.setMinimumContentsLength(6)
        self.box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self._wheel = _NoWheel(self)
        self.box.installEventFilter(self._wheel)
        self._values: list[Any] = []
        self.set_options(options)
        self.box.activated.connect(self._activated)

    def set_options(self, options: Iterable[tuple[str, Any]]) -> None:
        """Replace the list."""
        found = list(options)
        texts = [text for text, _ in found]
        self._values = [value for _, value in found]
        if texts != [self.box.itemText(i) for i in range(self.box.count())]:
            self.box.clear()
            self.box.addItems(texts)

    def set_value(self, value: Any) -> None:
        """Show a value; MIXED, or one that is not in the list, leaves the box empty."""
        index = -1
        if value is not MIXED and value in self._values:
            index = self._values.index(value)
        self.box.setPlaceholderText("mixed" if value is MIXED else "")
        self.box.setCurrentIndex(index)

    def value(self) -> Any:
        """Return the chosen value, None where there is none."""
        index = self.box.currentIndex()
        return self._values[index] if index >= 0 else None

    def _activated(self, index: int) -> None:
        self.chosen.emit(self._values[index])
