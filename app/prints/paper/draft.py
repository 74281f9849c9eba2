"""Drawing on paper in millimetres, black on white, with the program's own typeface.

The painter's unit is one millimetre; y runs down the page. Text is set in hundredths of a millimetre inside, because
fonts come in whole units only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF

from app.theme import load_fonts

__all__ = ["BODY", "HEADING", "SMALL", "Align", "Draft", "breakable", "shortened", "text_height", "text_width"]

SMALL, BODY, HEADING = 2.5, 3.1, 4.6
"""Heights of the three type sizes [mm]."""

Align = Literal["left", "right", "centre"]
Dash = Literal["solid", "dashed", "dash-dot", "dotted"]
_FINE = 100.0
_LEADING = 1.28
_DASHES: dict[str, list[float]] = {"dashed": [2.4, 1.4], "dash-dot": [4.0, 1.2, 0.5, 1.2], "dotted": [0.4, 1.0]}
_ALIGN = {
    "left": Qt.AlignmentFlag.AlignLeft,
    "right": Qt.AlignmentFlag.AlignRight,
    "centre": Qt.AlignmentFlag.AlignHCenter,
}
_HUGE = 1e7
_BREAK = "\u200b"


def _font(size: float, strong: bool) -> QFont:
    made = QFont(load_fonts())
    made.setPixelSize(max(round(size * _FINE), 1))
    made.setWeight(QFont.Weight.DemiBold if strong else QFont.Weight.Normal)
    # Contextual shapes of signs would not be found again by whoever searches the PDF.
    made.setFeature(QFont.Tag("calt"), 0)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made


def text_width(text: str, size: float = BODY, strong: bool = False) -> float:
    """Return how wide a line of text is [mm]."""
    return QFontMetricsF(_font(size, strong)).horizontalAdvance(text) / _FINE


def text_height(text: str, width: float, size: float = BODY, strong: bool = False) -> float:
    """Return how high a text is when it is set this wide [mm]."""
    if not text:
        return size * _LEADING
    box = QFontMetricsF(_font(size, strong)).boundingRect(
        QRectF(0, 0, width * _FINE, _HUGE),
        int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignTop),
        breakable(text, width, size, strong),
    )
    return max(box.height() / _FINE, size * _LEADING)


def breakable(text: str, width: float, size: float = BODY, strong: bool = False) -> str:
    """Return a text whose words may be broken (at spaces of no width) where one is wider than the line [mm]."""
    metrics = QFontMetricsF(_font(size, strong))
    if metrics.horizontalAdvance(text) <= width * _FINE:
        return text
    words = []
    for word in text.split(" "):
        lines = [""]
        for letter in word:
            if lines[-1] and metrics.horizontalAdvance(lines[-1] + letter) > width * _FINE:
                lines.append("")
            lines[-1] += letter
        words.append(_BREAK.join(lines))
    return " ".join(words)


def shortened(text: str, width: float, size: float = BODY, strong: bool = False) -> str:
    """Return a text that fits one line of this width [mm], its end given up where it is longer."""
    one_line = " ".join(text.split())
    return QFontMetricsF(_font(size, strong)).elidedText(one_line, Qt.TextElideMode.ElideRight, width * _FINE)


class Draft:
    """Draws with a painter whose unit is one millimetre."""

    def __init__(self, painter: QPainter) -> None:
        self.painter = painter
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 0.2, dash: Dash = "solid", grey: int = 0
    ) -> None:
        """Draw a line."""
        self.painter.setPen(_pen(width, dash, grey))
        self.painter.drawLine(QPointF(x1, y1), QPointF(x2, y2))

    def rect(self, x: float, y: float, w: float, h: float, width: float = 0.2, fill: int | None = None) -> None:
        """Draw a rectangle; ``fill`` is a grey from 0 (black) to 255; ``width`` 0 draws no edge."""
        self.painter.setPen(_pen(width) if width else QPen(Qt.PenStyle.NoPen))
        self.painter.setBrush(_brush(fill))
        self.painter.drawRect(QRectF(x, y, w, h))

    def circle(self, x: float, y: float, radius: float, width: float = 0.2, fill: int | None = None) -> None:
        """Draw a circle."""
        self.painter.setPen(_pen(width))
        self.painter.setBrush(_brush(fill))
        self.painter.drawEllipse(QPointF(x, y), radius, radius)

    def polygon(
        self,
        points: Sequence[tuple[float, float]],
        width: float = 0.2,
        fill: int | None = None,
        dash: Dash = "solid",
    ) -> None:
        """Draw a closed outline, grey or open."""
        self.painter.setPen(_pen(width, dash))
        self.painter.setBrush(_brush(fill))
        self.painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in points]))

    def cross(self, x: float, y: float, reach: float, width: float = 0.25) -> None:
        """Draw an upright cross."""
        self.line(x - reach, y, x + reach, y, width)
        self.line(x, y - reach, x, y + reach, width)

    def text(
        self,
        x: float,
        y: float,
        width: float,
        text: str,
        size: float = BODY,
        strong: bool = False,
        align: Align = "left",
        grey: int = 0,
    ) -> float:
        """Set a text, broken to the width, its top at ``y``; return its height [mm]."""
        height = text_height(text, width, size, strong)
        painter = self.painter
        painter.save()
        painter.translate(x, y)
        painter.scale(1 / _FINE, 1 / _FINE)
        painter.setFont(_font(size, strong))
        painter.setPen(QColor(grey, grey, grey))
        flags = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignTop | _ALIGN[align])
        set_text = breakable(text, width, size, strong)
        painter.drawText(QRectF(0, 0, width * _FINE, height * _FINE * 1.02), flags, set_text)
        painter.restore()
        return height

    def label(
        self,
        x: float,
        y: float,
        text: str,
        size: float = SMALL,
        strong: bool = False,
        turn: float = 0.0,
        align: Align = "centre",
        clear: bool = True,
    ) -> None:
        """Set one line about a point, turned by ``turn`` degrees clockwise, on a white ground where ``clear``."""
        wide, high = text_width(text, size, strong), size * _LEADING
        left = {"centre": -wide / 2, "left": 0.0, "right": -wide}[align]
        painter = self.painter
        painter.save()
        painter.translate(x, y)
        painter.rotate(turn)
        if clear:
            painter.fillRect(QRectF(left - 0.4, -high / 2, wide + 0.8, high), QColor(255, 255, 255))
        painter.scale(1 / _FINE, 1 / _FINE)
        painter.setFont(_font(size, strong))
        painter.setPen(QColor(0, 0, 0))
        box = QRectF((left - 1.0) * _FINE, -high * _FINE / 2, (wide + 2.0) * _FINE, high * _FINE)
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextSingleLine), text)
        painter.restore()

    def image(self, x: float, y: float, width: float, height: float, image: QImage) -> None:
        """Draw a picture into a rectangle, its proportions kept, against the rectangle's top."""
        scale = min(width / image.width(), height / image.height())
        wide, high = image.width() * scale, image.height() * scale
        self.painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        self.painter.drawImage(QRectF(x + (width - wide) / 2, y, wide, high), image)


def _pen(width: float, dash: Dash = "solid", grey: int = 0) -> QPen:
    pen = QPen(QColor(grey, grey, grey), width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if dash in _DASHES:
        # Dashes are counted in pen widths.
        pen.setDashPattern([part / max(width, 0.05) for part in _DASHES[dash]])
    return pen


def _brush(fill: int | None) -> QBrush:
    return QBrush(Qt.BrushStyle.NoBrush) if fill is None else QBrush(QColor(fill, fill, fill))
