"""The walk sheet on paper: numbered points with blanks, a small plan, and how to read well."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt, QUrl
from PySide6.QtGui import QFont, QImage, QPageLayout, QPageSize, QPainter, QPdfWriter, QPen, QPolygonF, QTextDocument

from app.theme import font, load_fonts, theme
from core.checks.finding import Wording
from core.metering.walk import HOW_TO_READ
from core.plan import Plan, box_corners
from core.plan.checking import MeterReading

__all__ = ["save_walk_sheet", "walk_html"]

_DPI = 150
_MAP = "walk-map"
_MAP_PIXELS = 1400


def walk_html(plan: Plan) -> str:
    """Return the sheet as rich text; text of the plan is shown as it is."""
    wording = Wording(plan, "")
    readings = plan.checking.readings
    several = len({_switches(reading) for reading in readings}) > 1
    heads = ("point", "where", "height", "sensor", *(("switches",) if several else ()), "reading", "lights off")
    head = "".join(f"<th align=left>{name}</th>" for name in heads)
    rows = "".join(_row(n, reading, wording, several) for n, reading in enumerate(readings, start=1))
    advice = "".join(f"<li>{escape(sentence)}</li>" for sentence in HOW_TO_READ)
    setting = "as in the table" if several else _switches(readings[0]) if readings else ""
    return (
        f"<h2>Light meter walk: {escape(plan.name)}</h2>"
        f"<p>Switches on: {escape(setting or '________')} &nbsp; Date and time: ____________ &nbsp; Meter: ____________"
        f" &nbsp; Readings in: {wording.light_unit}</p><ol>{advice}</ol>"
        f"<p align=center><img src='{_MAP}' width=560></p>"
        f"<table border=1 cellspacing=0 cellpadding=4 width='100%'><tr>{head}</tr>{rows}</table>"
        "<p>Distances are to the point's centre. Do not stand on a chair or bench to read; keep clear of machines.</p>"
    )


def _upright(reading: MeterReading) -> str:
    towards = ("right", "up and right", "up", "up and left", "left", "down and left", "down", "down and right")
    word = towards[round(reading.azimuth_deg / 45.0) % 8]
    return f"upright, facing {word} on the plan"


def save_walk_sheet(plan: Plan, path: Path) -> None:
    """Write the sheet as a PDF file.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    with path.open("ab"):
        pass
    writer = QPdfWriter(str(path))
    writer.setTitle(f"Light meter walk: {plan.name}")
    writer.setResolution(_DPI)
    size = QPageSize.PageSizeId.A4 if plan.units == "metric" else QPageSize.PageSizeId.Letter
    writer.setPageLayout(
        QPageLayout(
            QPageSize(size), QPageLayout.Orientation.Portrait, QMarginsF(15, 15, 15, 15), QPageLayout.Unit.Millimeter
        )
    )
    document = QTextDocument()
    document.documentLayout().setPaintDevice(writer)
    document.setPageSize(QSizeF(writer.width(), writer.height()))
    document.setDefaultFont(QFont(load_fonts(), 10))
    document.addResource(QTextDocument.ResourceType.ImageResource, QUrl(_MAP), _map(plan))
    document.setHtml(walk_html(plan))
    document.print_(writer)


def _map(plan: Plan) -> QImage:
    """Draw the room's outline, what stands in it, and the numbered points."""
    xs, ys = zip(*plan.room.outline, strict=True)
    scale = (_MAP_PIXELS - 60) / max(max(xs) - min(xs), max(ys) - min(ys), 0.1)
    image = QImage(_MAP_PIXELS, int((max(ys) - min(ys)) * scale) + 60, QImage.Format.Format_RGB32)
    look = theme(False)
    image.fill(look.paper)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def at(x: float, y: float) -> QPointF:
        return QPointF(30 + (x - min(xs)) * scale, 30 + (max(ys) - y) * scale)

    painter.setPen(QPen(look.wall, 6))
    painter.drawPolygon(QPolygonF([at(x, y) for x, y in plan.room.outline]))
    painter.setPen(QPen(look.muted, 2))
    for item in plan.furniture:
        corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
        painter.drawPolygon(QPolygonF([at(x, y) for x, y in corners]))
    face = font("body", strong=True)
    face.setPixelSize(26)
    painter.setFont(face)
    for number, reading in enumerate(plan.checking.readings, start=1):
        spot = at(reading.x, reading.y)
        painter.setPen(QPen(look.ink, 2))
        painter.setBrush(look.paper)
        painter.drawEllipse(spot, 21, 21)
        painter.drawText(QRectF(spot.x() - 30, spot.y() - 20, 60, 40), Qt.AlignmentFlag.AlignCenter, str(number))
    painter.end()
    return image


def _switches(reading: MeterReading) -> str:
    """Return what was on at a reading."""
    if reading.lamps == "old":
        return "the old lamps"
    return reading.combination or ", ".join(letter for letter, share in reading.levels if share)


def _row(number: int, reading: MeterReading, wording: Wording, with_switches: bool) -> str:
    facing = "up" if reading.tilt_deg < 1.0 else "down" if reading.tilt_deg > 179.0 else _upright(reading)
    cells = (
        str(number),
        f"{wording.spot(reading.x, reading.y)} ({reading.note})"
        if reading.note
        else wording.spot(reading.x, reading.y),
        wording.length(reading.height),
        facing,
        *((_switches(reading),) if with_switches else ()),
        "" if reading.lux is None else f"{wording.number(reading.lux):g}",
        "" if reading.dark_lux == 0.0 else f"{wording.number(reading.dark_lux):g}",
    )
    return "<tr>" + "".join(f"<td>{escape(cell) or '&nbsp;'}</td>" for cell in cells) + "</tr>"
