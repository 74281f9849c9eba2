"""The widget that shows one bench with and without its worker."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.checks.bench_picture import BenchShadowPicture, paint_bench
from app.guard import guarded
from app.theme import Theme, font

__all__ = ["BenchView"]

_COMES = "The light with the worker is being worked out…"
_NOBODY = "Nobody stands at a bench or machine: select one and mark the side where its worker stands."
_WRAP = int(Qt.TextFlag.TextWordWrap)


class BenchView(QWidget):
    """Paints a `BenchShadowPicture`, or says why there is none."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._drawn: BenchShadowPicture | None = None
        self._words = _COMES
        self.setAccessibleName("The bench with and without its worker")

    def put(self, drawn: BenchShadowPicture | None, theme: Theme, is_busy: bool = False) -> None:
        """Show another bench, setting or theme; with nothing to show, say whether it comes or what to do."""
        self._drawn, self._theme = drawn, theme
        self._words = _COMES if is_busy else _NOBODY
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
        else:
            painter.setPen(self._theme.muted)
            painter.setFont(font("body"))
            painter.drawText(QRectF(self.rect()).adjusted(16, 16, -16, -16), _WRAP, self._words)
        painter.end()
