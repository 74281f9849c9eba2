"""The legend under the plan: what the colours mean, in numbers with their unit, and which light is shown."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.light.colours import SPAN, colour_table
from app.light.scale import Scale
from app.theme import Theme, font
from core.units import show_length

__all__ = ["Legend", "paint_legend", "sentences", "ticks"]

_BAR = 10.0  # px high
_WIDEST, _NARROWEST = 336.0, 160.0  # px
_GAP = 24.0
_LINE = 16.0
_HEIGHT = 48


def ticks(scale: Scale) -> list[tuple[float, str]]:
    """Return the numbers under the bar: share of the target, and text; halves only where they are whole."""
    target = scale.target / scale.unit
    halves = target >= 10.0 and abs(target / 2 - round(target / 2)) < 1e-6
    shares = [0.0, 0.5, 1.0, 1.5, 2.0] if halves else [0.0, 1.0, 2.0]
    texts = [scale.number(share * scale.target) if share != 1.0 else scale.text(scale.target) for share in shares]
    return list(zip(shares, texts, strict=True))


def sentences(scale: Scale) -> tuple[str, str]:
    """Return what stands beside the bar."""
    height = show_length(scale.plane, scale.units)
    return (
        f"Target {scale.text(scale.target)} at {height} above the floor",
        f"{scale.words.capitalize()}, isolines in {scale.symbol}",
    )


def paint_legend(painter: QPainter, rect: QRectF, scale: Scale, theme: Theme) -> None:
    """Draw the legend into a rectangle: the bar to the left, two sentences beside it where there is room."""
    small = font("small")
    metrics = QFontMetricsF(small)
    lines = max(metrics.horizontalAdvance(text) for text in sentences(scale))
    margin = metrics.horizontalAdvance(ticks(scale)[-1][1]) / 2 + 1.0
    beside = lines + margin + _GAP + 8.0  # the last number reaches beyond the bar; and some air at the edge
    with_words = rect.width() - 2 * margin - beside >= _NARROWEST
    width = min(_WIDEST, rect.width() - 2 * margin - (beside if with_words else 0.0))
    if width <= 0.0:
        return
    bar = QRectF(rect.left() + margin, rect.top() + _LINE + 2.0, width, _BAR)
    painter.save()
    painter.setFont(small)
    _paint_words(painter, bar, metrics, theme)
    _paint_bar(painter, bar, theme)
    _paint_ticks(painter, bar, scale, metrics, theme)
    if with_words:
        painter.setPen(theme.muted)
        for line, text in enumerate(sentences(scale)):
            at = QRectF(bar.right() + margin + _GAP, rect.top() + 6.0 + line * 18.0, lines + 2.0, 18.0)
            painter.drawText(at, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
    painter.restore()


def _paint_words(painter: QPainter, bar: QRectF, metrics: QFontMetricsF, theme: Theme) -> None:
    left, middle, right = "too little", "as wanted", "more than needed"
    above = bar.translated(0.0, -_LINE - 2.0)
    above.setHeight(_LINE)
    painter.setPen(theme.ink)
    painter.drawText(above, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, left)
    painter.drawText(above, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, right)
    half = metrics.horizontalAdvance(middle) / 2 + 8.0
    if bar.width() / 2 > half + metrics.horizontalAdvance(right):
        painter.drawText(above, Qt.AlignmentFlag.AlignCenter, middle)


def _paint_bar(painter: QPainter, bar: QRectF, theme: Theme) -> None:
    table = colour_table(theme.dark)
    image = QImage(table.tobytes(), len(table), 1, 4 * len(table), QImage.Format.Format_RGBA8888)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(bar, image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(QPen(theme.edge, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(bar.toRect())


def _paint_ticks(painter: QPainter, bar: QRectF, scale: Scale, metrics: QFontMetricsF, theme: Theme) -> None:
    end = -1e9
    marks = ticks(scale)
    room = sum(metrics.horizontalAdvance(text) + 10.0 for _, text in marks)
    for share, text in marks if room < bar.width() else marks[:: (len(marks) - 1) // 2]:
        x = bar.left() + bar.width() * share / SPAN
        wide = metrics.horizontalAdvance(text)
        if x - wide / 2 < end:
            continue
        end = x + wide / 2 + 4.0
        strong = share == 1.0
        painter.setPen(theme.ink if strong else theme.muted)
        painter.setFont(font("small", strong=strong))
        at = QRectF(x - 60.0, bar.bottom() + 2.0, 120.0, _LINE)
        painter.drawText(at, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, text)


class Legend(QWidget):
    """The legend as a strip of the window."""

    def __init__(self, theme: Theme, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._scale = scale
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._describe()

    def set_theme(self, theme: Theme) -> None:
        """Take the colours of a theme."""
        self._theme = theme
        self.update()

    def set_scale(self, scale: Scale) -> None:
        """Show another target, unit, plane, or the other kind of light."""
        self._scale = scale
        self._describe()
        self.update()

    def sizeHint(self) -> QSize:
        """Room for the bar with its words and both sentences."""
        return QSize(600, _HEIGHT)

    def minimumSizeHint(self) -> QSize:
        """Room for the bar alone."""
        return QSize(int(_NARROWEST) + 40, _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the legend."""
        painter = QPainter(self)
        paint_legend(painter, QRectF(self.rect()), self._scale, self._theme)
        painter.end()

    def _describe(self) -> None:
        target = self._scale.text(self._scale.target)
        self.setAccessibleName(
            f"Legend: slate is too little, white as wanted ({target}), amber more than needed. "
            + ". ".join(sentences(self._scale))
        )
