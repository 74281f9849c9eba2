"""A small field at a place of the drawing for typing a length, with what is wrong explained below it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QFocusEvent, QFontMetricsF, QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.canvas.paint.words import kept_within
from app.theme import Theme, font

__all__ = ["Entry"]

WIDTH = 240
# The field's own menu, or another window in front: the text stays.
_PASSING = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)


class Entry(QFrame):
    """Enter hands the text to ``accept``, which returns None or says what is wrong; Esc or a click
    elsewhere closes."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._drawing = parent
        self.setObjectName("entry")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._title, self._problem = QLabel(self), QLabel(self)
        self.field = QLineEdit(self)
        self.field.installEventFilter(self)
        self._problem.setWordWrap(True)
        self._column = column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(4)
        for part in (self._title, self.field, self._problem):
            column.addWidget(part)
        self._take: Callable[[str], str | None] = lambda _: None
        self._frame = QRectF()
        self._anchor = QPointF()
        self._is_closing = False
        self.hide()

    @property
    def problem(self) -> str:
        """What is wrong with the text, as shown."""
        return self._problem.text()

    def dress(self, theme: Theme) -> None:
        """Take over the colours."""
        for part, face in (
            (self._title, font("small")),
            (self._problem, font("small")),
            (self.field, font("body")),
        ):
            part.setFont(face)
        self.setStyleSheet(
            f"QFrame#entry {{ background: {theme.panel.name()}; border: 1px solid {theme.edge.name()};"
            " border-radius: 4px; }"
            f" QLabel {{ color: {theme.muted.name()}; background: transparent; border: none; }}"
            f" QLineEdit {{ color: {theme.ink.name()}; background: {theme.entry.name()};"
            f" border: 1px solid {theme.accent.name()}; border-radius: 3px; padding: 3px 6px; }}"
        )

    def open_at(
        self,
        anchor: QPointF,
        frame: QRectF,
        text: str,
        title: str,
        take: Callable[[str], str | None],
        select: bool,
    ) -> None:
        """Show the field near a place, within a frame; ``select`` marks the text so that typing replaces
        it."""
        self._take, self._frame, self._anchor = take, frame, anchor
        self._title.setText(title)
        self._problem.clear()
        self._problem.hide()
        self.field.setAccessibleName(title)
        self.field.setText(text)
        self._settle()
        self.show()
        self.raise_()
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)
        if select:
            self.field.selectAll()

    def close_up(self) -> None:
        """Hide the field and give the keyboard back to the drawing, unless something else has it by now."""
        if self.isVisible() and not self._is_closing:
            self._is_closing = True
            # First the focus: a field that is hidden with it would hand it on as Tab does.
            if self.field.hasFocus():
                self._drawing.setFocus(Qt.FocusReason.OtherFocusReason)
            self.hide()
            self._is_closing = False
            self._drawing.update()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()  # typing must not run the window's shortcuts
            return True
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._take_key(event)
        if isinstance(event, QFocusEvent) and event.lostFocus() and event.reason() not in _PASSING:
            self.close_up()
        return False

    def _take_key(self, event: QKeyEvent) -> bool:
        """Keep Enter and Esc to the field: the drawing behind it would take them as its own."""
        if event.key() == Qt.Key.Key_Escape:
            self.close_up()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._accept()
        else:
            return False
        return True

    def _accept(self) -> None:
        problem = self._take(self.field.text())
        if problem is None:
            self.close_up()
            return
        self._problem.setText(problem)
        self._problem.show()
        self._settle()
        self.field.selectAll()

    def _settle(self) -> None:
        """Take the size that the words need and stay within the frame."""
        self.setFixedWidth(WIDTH)
        if self._problem.text():
            inner = QRectF(0.0, 0.0, WIDTH - 18.0, 400.0)
            flags = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft)
            needed = QFontMetricsF(self._problem.font()).boundingRect(inner, flags, self._problem.text())
            self._problem.setFixedHeight(int(needed.height()) + 4)
        self._column.activate()
        self.setFixedHeight(self._column.sizeHint().height())
        rect = QRectF(self._anchor.x() - 40.0, self._anchor.y() + 12.0, self.width(), self.height())
        self.move(kept_within(rect, self._frame).topLeft().toPoint())
