"""The widget that shows one bench with and without its worker."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.checks.bench_picture import BenchShadowPicture, paint_bench
from app.guard import guarded
from app.theme import Theme

__all__ = ["BenchView"]


class BenchView(QWidget):
    """Paints a `BenchShadowPicture`, or nothing while there is none."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._drawn: BenchShadowPicture | None = None
        self.setAccessibleName("The bench with and without its worker")

    def put(self, drawn: BenchShadowPicture | None, theme: Theme) -> None:
        """Show another bench, setting or theme."""
        self._drawn, self._theme = drawn, theme
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(420, 560)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 380)

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._theme.paper)
        if self._drawn is not None:
            paint_bench(painter, QRectF(self.rect()), self._drawn, self._theme)
        painter.end()
