"""Measured against predicted light: a scatter with the line of equals and the fitted factor, and residuals below."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.guard import guarded
from app.theme import Theme, font
from core.metering.compare import Comparison, Row
from core.units import LUX_PER_FC, UnitSystem

__all__ = ["MeterPlot"]

_LEFT, _BOTTOM, _TOP = 44.0, 34.0, 22.0
_SHARE = 0.62


class MeterPlot(QWidget):
    """Paints a comparison, or a sentence while there is none."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._units = theme, UnitSystem.US
        self._comparison: Comparison | None = None
        self.setAccessibleName("Measured against predicted light")

    def put(self, comparison: Comparison | None, theme: Theme, units: UnitSystem) -> None:
        """Show another comparison."""
        self._comparison, self._theme, self._units = comparison, theme, units
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(360, 460)

    def minimumSizeHint(self) -> QSize:
        return QSize(260, 300)

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._theme.paper)
        if self._comparison is None:
            painter.setPen(self._theme.muted)
            painter.setFont(font("small"))
            text = "Type readings, then compare: they show here against what the plan predicts."
            painter.drawText(QRectF(self.rect()).adjusted(16, 16, -16, -16), int(Qt.TextFlag.TextWordWrap), text)
        else:
            whole = QRectF(self.rect())
            cut = whole.height() * _SHARE
            self._scatter(painter, QRectF(0, 0, whole.width(), cut), self._comparison)
            self._residuals(painter, QRectF(0, cut, whole.width(), whole.height() - cut), self._comparison)
        painter.end()

    def _scatter(self, painter: QPainter, rect: QRectF, comparison: Comparison) -> None:
        theme = self._theme
        unit = LUX_PER_FC if self._units is UnitSystem.US else 1.0
        box = rect.adjusted(_LEFT, _TOP, -16, -_BOTTOM)
        most = _round_up(max(max(row.measured, row.predicted) for row in _scaling(comparison)) / unit)
        self._frame(painter, box, "measured against predicted, " + ("fc" if unit != 1.0 else "lx"))

        def at(predicted: float, measured: float) -> QPointF:
            return QPointF(box.left() + box.width() * predicted / most, box.bottom() - box.height() * measured / most)

        painter.setFont(font("small"))
        for k in range(5):
            value = most * k / 4
            painter.setPen(theme.muted)
            painter.drawText(
                QRectF(at(value, 0).x() - 30, box.bottom() + 2, 60, 14), Qt.AlignmentFlag.AlignHCenter, f"{value:g}"
            )
            painter.drawText(QRectF(0, at(0, value).y() - 8, _LEFT - 6, 16), Qt.AlignmentFlag.AlignRight, f"{value:g}")
        painter.save()
        painter.setClipRect(box)
        painter.setPen(QPen(theme.edge, 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(at(0, 0), at(most, most))
        painter.setPen(QPen(theme.accent, 1.5))
        painter.drawLine(at(0, 0), at(most, most * comparison.factor.value))
        painter.restore()
        for number, row in enumerate(comparison.rows, start=1):
            # What lies beyond the frame is drawn at its edge: a slip of the decimal point must not squeeze the rest.
            spot = at(min(row.predicted / unit, most), min(row.measured / unit, most))
            self._dot(painter, spot, number, row.is_odd)
        painter.setFont(font("small"))
        painter.setPen(theme.muted)
        below = QRectF(box.left(), box.bottom() + 16, box.width(), 16)
        painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, "predicted; dashed: equal, solid: fitted factor")

    def _residuals(self, painter: QPainter, rect: QRectF, comparison: Comparison) -> None:
        theme = self._theme
        box = rect.adjusted(_LEFT, _TOP, -16, -14)
        most = max(0.1, _round_up(max(abs(row.residual) for row in _scaling(comparison))))
        most = min(most, 1.0)
        self._frame(painter, box, "off the factor, reading by reading")
        middle = box.center().y()
        painter.setFont(font("small"))
        for share in (-most, 0.0, most):
            painter.setPen(theme.muted)
            y = middle - share / most * box.height() / 2
            painter.drawText(
                QRectF(0, y - 8, _LEFT - 6, 16), Qt.AlignmentFlag.AlignRight, f"{100 * share:+.0f} %" if share else "0"
            )
        painter.setPen(QPen(theme.edge, 1.0))
        painter.drawLine(QPointF(box.left(), middle), QPointF(box.right(), middle))
        for number, row in enumerate(comparison.rows, start=1):
            x = box.left() + box.width() * (number - 0.5) / len(comparison.rows)
            y = middle - max(-1.0, min(1.0, row.residual / most)) * box.height() / 2
            painter.setPen(QPen(theme.danger if row.is_odd else theme.ink, 1.0))
            painter.drawLine(QPointF(x, middle), QPointF(x, y))
            self._dot(painter, QPointF(x, y), number, row.is_odd)

    def _frame(self, painter: QPainter, box: QRectF, title: str) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self._theme.hairline, 1.0))
        painter.drawRect(box)
        painter.setFont(font("small", strong=True))
        painter.setPen(self._theme.ink)
        painter.drawText(QRectF(box.left(), box.top() - 18, box.width(), 16), Qt.AlignmentFlag.AlignLeft, title)

    def _dot(self, painter: QPainter, at: QPointF, number: int, odd: bool) -> None:
        """A dot; a reading that does not fit is a ring with its number, so that colour is not all that tells."""
        theme = self._theme
        if odd:
            painter.setPen(QPen(theme.danger, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(at, 5.0, 5.0)
            painter.setFont(font("small", strong=True))
            painter.drawText(QPointF(at.x() + 8, at.y() + 12), str(number))
        else:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.ink)
            painter.drawEllipse(at, 3.0, 3.0)
        painter.setBrush(Qt.BrushStyle.NoBrush)


def _scaling(comparison: Comparison) -> list[Row]:
    """Return the readings that set the scale: those that fit, or all where none does."""
    return [row for row in comparison.rows if not row.is_odd] or list(comparison.rows)


def _round_up(value: float) -> float:
    """Return the next of 1, 2, 4, 5, 8 times a power of ten."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1.0, 2.0, 4.0, 5.0, 8.0, 10.0) if step * power >= value * (1.0 - 1e-9))
