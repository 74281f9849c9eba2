"""A bench with and without its worker, and what the body takes: three pictures one below the other, with their figures.

The bench is drawn in its own frame, its worker where they stand. Light has the colours of the plan; the loss has the
dark half of the same colours, paper where nothing is lost, slate where all is.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import contourpy
import numpy as np
from PySide6.QtCore import QBuffer, QByteArray, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QImageWriter, QPainter, QPen, QPolygonF

from app.light.picture import FieldPicture
from app.theme import Theme, font, theme
from core.checks.body_shadow import LOSSES, BodyShadow, loss_field, losses
from core.checks.finding import Finding, Wording
from core.light.grid import FloatArray
from core.plan.safe_write import write_safely

__all__ = ["BenchShadowPicture", "bench_image", "paint_bench", "save_bench"]

_SIZE = QSize(1000, 860)
_RATIO = 2.0
_FINE = 200
_LINE, _GAP, _MARGIN = 18.0, 14.0, 24.0
_LEVELS = {0.2: Qt.PenStyle.DotLine, 0.3: Qt.PenStyle.DashLine, 0.5: Qt.PenStyle.SolidLine}


@dataclass(frozen=True)
class BenchShadowPicture:
    """What is drawn: the shadow, the level of each fixture, how figures are written, the target [lx], the finding."""

    shadow: BodyShadow
    shares: FloatArray
    wording: Wording
    target: float
    finding: Finding | None = None


def bench_image(drawn: BenchShadowPicture, dark: bool = False) -> QImage:
    """Return the picture as an image of twice its size in points."""
    image = QImage(_SIZE * _RATIO, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(_RATIO)
    look = theme(dark)
    image.fill(look.paper)
    painter = QPainter(image)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_bench(painter, QRectF(0, 0, _SIZE.width(), _SIZE.height()), drawn, look)
    finally:
        painter.end()
    return image


def save_bench(drawn: BenchShadowPicture, path: Path) -> None:
    """Save the picture as a PNG file; raises OSError if that cannot be."""
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(bench_image(drawn)):
        raise OSError(writer.errorString())
    write_safely(path, bytes(buffer.data().data()))


def paint_bench(painter: QPainter, rect: QRectF, drawn: BenchShadowPicture, look: Theme) -> None:
    """Draw everything into a rectangle."""
    shadow = drawn.shadow
    before, after = shadow.before @ drawn.shares, shadow.after @ drawn.shares
    inner = rect.adjusted(_MARGIN, 16, -_MARGIN, -16)
    foot = _foot_height(inner.width(), drawn)
    top = _paint_head(painter, inner, drawn, look)
    each = (inner.bottom() - foot - top) / 3.0
    words, factor = drawn.wording, drawn.wording.factor
    rows = (
        ("Nobody there", before * factor, drawn.target, f"{_range(before, words)}; {_key(drawn)}"),
        ("You at work", after * factor, drawn.target, _range(after, words)),
        ("What your body takes", 1.0 - loss_field(before, after), 1.0, _taken(drawn)),
    )
    for number, (title, values, target, figures) in enumerate(rows):
        box = QRectF(inner.left(), top + number * each, inner.width(), each - _GAP)
        _paint_row(painter, box, title, figures, drawn, values, target, look)
    _paint_foot(painter, QRectF(inner.left(), inner.bottom() - foot, inner.width(), foot), drawn, look)


def _paint_head(painter: QPainter, rect: QRectF, drawn: BenchShadowPicture, look: Theme) -> float:
    item = drawn.shadow.stand.item
    painter.setPen(look.ink)
    painter.setFont(font("body", strong=True))
    painter.drawText(QPointF(rect.left(), rect.top() + 14), item.name or item.id)
    painter.setPen(look.muted)
    painter.setFont(font("small"))
    worker = drawn.wording.plan.worker
    pose = "leaning in" if worker.leaning else "upright"
    text = f"{drawn.wording.combination}, {drawn.wording.kind} light; worker {pose}, {worker.hand}-handed"
    painter.drawText(QRectF(rect.left(), rect.top(), rect.width(), 18), Qt.AlignmentFlag.AlignRight, text)
    return rect.top() + 28


def _paint_row(
    painter: QPainter,
    box: QRectF,
    title: str,
    figures: str,
    drawn: BenchShadowPicture,
    values: FloatArray,
    target: float,
    look: Theme,
) -> None:
    painter.setFont(font("small", strong=True))
    painter.setPen(look.ink)
    painter.drawText(QRectF(box.left(), box.top(), box.width(), _LINE), Qt.AlignmentFlag.AlignLeft, title)
    painter.setFont(font("small"))
    painter.setPen(look.muted)
    metrics = QFontMetricsF(font("small"))
    beside = metrics.horizontalAdvance(figures) + metrics.horizontalAdvance(title) * 1.2 + 16 < box.width()
    if beside:
        painter.drawText(QRectF(box.left(), box.top(), box.width(), _LINE), Qt.AlignmentFlag.AlignRight, figures)
        place = box.adjusted(0, _LINE + 2, 0, 0)
    else:
        wrap = int(Qt.TextFlag.TextWordWrap)
        below = metrics.boundingRect(QRectF(0, 0, box.width(), 200), wrap, figures).height()
        painter.drawText(QRectF(box.left(), box.top() + 15, box.width(), below + 2), wrap, figures)
        place = box.adjusted(0, 15 + below + 4, 0, 0)
    _paint_top(painter, place, drawn.shadow, values, target, look, worker=title != "Nobody there", loss=target == 1.0)


def _paint_top(
    painter: QPainter,
    box: QRectF,
    shadow: BodyShadow,
    values: FloatArray,
    target: float,
    look: Theme,
    worker: bool,
    loss: bool,
) -> None:
    """Draw one bench top with values on it, to scale, centred, with room for the worker at their side."""
    item, body = shadow.stand.item, _worker_box(shadow)
    whole = QRectF(-item.width / 2, -item.depth / 2, item.width, item.depth).united(body)
    scale = min(box.width() / whole.width(), box.height() / whole.height())
    painter.save()
    painter.translate(box.center())
    painter.translate(-whole.center().x() * scale, whole.center().y() * scale)
    picture = FieldPicture(shadow.grid, shadow.inside, _FINE)
    filled = np.zeros(shadow.grid.shape)
    filled[shadow.inside] = values
    picture.set_values(filled)
    top = QRectF(-item.width / 2 * scale, -item.depth / 2 * scale, item.width * scale, item.depth * scale)
    area = picture.rect
    grid_place = QRectF(
        area.x() * scale, -(area.y() + area.height()) * scale, area.width() * scale, area.height() * scale
    )
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.save()
    painter.setClipRect(top)
    painter.drawImage(grid_place, picture.image(target, look.dark))
    painter.restore()
    if loss:
        _paint_loss_lines(painter, picture, scale, look)
    painter.setPen(QPen(look.furniture_edge, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(top)
    _paint_worker(painter, body, scale, look, worker)
    painter.restore()


def _paint_loss_lines(painter: QPainter, picture: FieldPicture, scale: float, look: Theme) -> None:
    """Draw the lines of 20, 30 and 50 % loss, dotted, dashed and solid."""
    xs, ys = picture.fine_axes
    lines = contourpy.contour_generator(x=xs, y=ys, z=picture.fine)
    for level, style in _LEVELS.items():
        # The darkest half of the map needs light lines, the rest dark ones.
        colour = look.paper if level >= 0.5 and not look.dark else look.ink if not look.dark else look.selection
        painter.setPen(QPen(colour, 1.2, style))
        for line in lines.lines(1.0 - level):
            corners = [QPointF(float(x) * scale, -float(y) * scale) for x, y in np.asarray(line)]
            painter.drawPolyline(QPolygonF(corners))


def _worker_box(shadow: BodyShadow) -> QRectF:
    """Return where the worker stands in the bench's frame [m], y up."""
    item, stand = shadow.stand.item, shadow.stand
    turn = np.radians(item.rotation_deg)
    dx, dy = stand.x - item.x, stand.y - item.y
    x, y = np.cos(turn) * dx + np.sin(turn) * dy, -np.sin(turn) * dx + np.cos(turn) * dy
    wide, deep = shadow.body_size
    if item.worker_side in ("left", "right"):
        wide, deep = deep, wide
    return QRectF(x - wide / 2, y - deep / 2, wide, deep)


def _paint_worker(painter: QPainter, body: QRectF, scale: float, look: Theme, there: bool) -> None:
    place = QRectF(body.x() * scale, -(body.y() + body.height()) * scale, body.width() * scale, body.height() * scale)
    painter.setPen(QPen(look.muted, 1.0, Qt.PenStyle.SolidLine if there else Qt.PenStyle.DotLine))
    painter.setBrush(look.worker if there else Qt.BrushStyle.NoBrush)
    painter.drawEllipse(place)
    if there:
        painter.setPen(look.ink)
        painter.setFont(font("small"))
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, "you")


def _key(drawn: BenchShadowPicture) -> str:
    return f"white is the target of {drawn.wording.light(drawn.target)}, amber more, slate less"


def _range(lux: FloatArray, words: Wording) -> str:
    if not len(lux):
        return ""
    low, mean, high = (float(v) * words.factor for v in (lux.min(), lux.mean(), lux.max()))
    return f"average {words.light(mean)}, from {words.light(low)} to {words.light(high)}"


def _taken(drawn: BenchShadowPicture) -> str:
    found = losses(drawn.shadow, drawn.shares)
    over = ", ".join(f"{100 * share:.0f} %" for share in found.over)
    limits = ", ".join(f"{100 * limit:.0f}" for limit in LOSSES)
    return (
        f"worst {100 * found.worst:.0f} %, average {100 * found.average:.0f} %; "
        f"{over} of the top loses more than {limits} % (dotted, dashed, solid line)"
    )


def _foot_text(drawn: BenchShadowPicture) -> str:
    if drawn.finding is None:
        return ""
    return " ".join(part for part in (drawn.finding.cause, drawn.finding.remedy) if part)


def _foot_height(width: float, drawn: BenchShadowPicture) -> float:
    text = _foot_text(drawn)
    metrics = QFontMetricsF(font("small"))
    return (
        metrics.boundingRect(QRectF(0, 0, width, 1000), int(Qt.TextFlag.TextWordWrap), text).height() if text else 0.0
    )


def _paint_foot(painter: QPainter, rect: QRectF, drawn: BenchShadowPicture, look: Theme) -> None:
    painter.setFont(font("small"))
    painter.setPen(look.ink)
    painter.drawText(rect, int(Qt.TextFlag.TextWordWrap), _foot_text(drawn))
