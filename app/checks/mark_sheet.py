"""A clear sheet over the drawing: meter readings, eyes, cameras, and the place a finding points at.

It lets the mouse through, except while a place is being picked; then one click gives a plan point, Escape none.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.canvas.canvas import PlanCanvas
from app.document import Document
from app.guard import guarded
from app.theme import Theme, font
from core.plan import Point

__all__ = ["MarkSheet"]

_RADIUS = 9.0
_RING = 26.0


class MarkSheet(QWidget):
    """Paints marks over a canvas. ``residuals`` are measured / predicted less the common factor, by reading's id."""

    def __init__(self, canvas: PlanCanvas, document: Document, theme: Theme) -> None:
        super().__init__(canvas)
        self._canvas, self._document, self.theme = canvas, document, theme
        self.show_readings = False
        self.residuals: Mapping[str, float] = {}
        self.odd: frozenset[str] = frozenset()
        self.place: Point | None = None
        self._picked: Callable[[Point | None], None] | None = None
        self._hint = ""
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.resize(canvas.size())
        canvas.installEventFilter(self)
        document.changed.connect(self._plan_changed)
        self.show()

    def pick(self, then: Callable[[Point | None], None], hint: str = "") -> None:
        """Wait for one click on the drawing; ``then`` gets the plan point, or None after Escape. ``hint`` says what to
        click on."""
        self._picked, self._hint = then, hint
        self.update()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, False)
        self.setCursor(Qt.CursorShape.CrossCursor)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocus()

    def point_at(self, place: Point | None) -> None:
        """Show a ring around a place of the plan, or none."""
        self.place = place
        self.update()

    def _end_pick(self, point: Point | None) -> None:
        then, self._picked, self._hint = self._picked, None, ""
        self.update()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.unsetCursor()
        self._canvas.setFocus()
        if then is not None:
            then(point)

    def _plan_changed(self) -> None:
        self.place = None
        # The drawing paints this sheet as its child. To ask for both would paint the drawing twice a frame.
        self._canvas.update()

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._canvas and event.type() == QEvent.Type.Resize:
            self.resize(self._canvas.size())
        return False

    @guarded
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._end_pick(self._canvas.view.to_plan(event.position()))
        else:
            self._end_pick(None)

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self._picked is not None:
            self._end_pick(None)
        else:
            super().keyPressEvent(event)

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(self._canvas.frame)
        self._paint(painter)
        painter.end()

    def _paint(self, painter: QPainter) -> None:
        checking, view = self._document.plan.checking, self._canvas.view
        for eye in checking.views:
            self._eye(painter, view.to_screen(eye.x, eye.y), eye.direction_deg, 28.0, self.theme.accent)
        for camera in checking.cameras:
            at, subject = view.to_screen(camera.x, camera.y), view.to_screen(camera.subject_x, camera.subject_y)
            towards = math.degrees(math.atan2(camera.subject_y - camera.y, camera.subject_x - camera.x))
            self._eye(painter, at, towards, camera.angle_deg / 2, self.theme.guide)
            painter.setPen(QPen(self.theme.guide, 1.0, Qt.PenStyle.DashLine))
            painter.drawLine(at, subject)
            painter.drawEllipse(subject, 6.0, 6.0)
        if self.show_readings:
            for number, reading in enumerate(checking.readings, start=1):
                self._reading(painter, view.to_screen(reading.x, reading.y), str(number), reading.id)
        if self.place is not None:
            painter.setPen(QPen(self.theme.guide, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(view.to_screen(*self.place), _RING, _RING)
        if self._hint:
            self._paint_hint(painter, f"{self._hint} Escape leaves it.")

    def _paint_hint(self, painter: QPainter, text: str) -> None:
        painter.setFont(font("body", strong=True))
        wide = painter.fontMetrics().horizontalAdvance(text) + 24
        box = QRectF(self._canvas.frame.center().x() - wide / 2, self._canvas.frame.top() + 12, wide, 30)
        painter.setPen(QPen(self.theme.accent, 1.0))
        painter.setBrush(self.theme.paper)
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(self.theme.ink)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def _eye(self, painter: QPainter, at: QPointF, towards: float, half: float, colour: QColor) -> None:
        """A dot with a wedge that shows which way it looks."""
        faint = QColor(colour)
        faint.setAlpha(46)
        painter.setPen(QPen(colour, 1.0))
        painter.setBrush(faint)
        wedge = QRectF(at.x() - 34, at.y() - 34, 68, 68)
        painter.drawPie(wedge, round((towards - half) * 16), round(2 * half * 16))
        painter.setBrush(colour)
        painter.drawEllipse(at, 4.0, 4.0)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _reading(self, painter: QPainter, at: QPointF, number: str, identity: str) -> None:
        theme = self.theme
        edge = theme.danger if identity in self.odd else theme.ink
        painter.setPen(QPen(edge, 2.0 if identity in self.odd else 1.0))
        painter.setBrush(theme.reading_fill)
        painter.drawEllipse(at, _RADIUS, _RADIUS)
        painter.setFont(font("small", strong=True))
        painter.setPen(theme.reading_ink)
        painter.drawText(QRectF(at.x() - 20, at.y() - 10, 40, 20), Qt.AlignmentFlag.AlignCenter, number)
        share = self.residuals.get(identity)
        if share is None:
            return
        text = f"{round(100 * share):+d} %"
        box = QRectF(at.x() - 19, at.y() + _RADIUS + 1, 38, 14)
        painter.fillRect(box, theme.halo)
        painter.setPen(edge)
        painter.setFont(font("small"))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
