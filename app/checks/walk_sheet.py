"""The walk sheet on paper: numbered points with blanks, a small plan, and how to read well."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPdfWriter, QTextDocument

from core.checks.finding import Wording
from core.metering.walk import HOW_TO_READ
from core.plan import Plan
from core.plan.checking import MeterReading

__all__ = ["save_walk_sheet", "walk_html"]

_DPI = 150


def walk_html(plan: Plan) -> str:
    """Return the sheet as rich text; text of the plan is shown as it is."""
    wording = Wording(plan, "")
    readings = plan.checking.readings
    head = "".join(
        f"<th align=left>{name}</th>" for name in ("point", "where", "height", "sensor", "reading", "lights off")
    )
    rows = "".join(_row(n, reading, wording) for n, reading in enumerate(readings, start=1))
    advice = "".join(f"<li>{escape(sentence)}</li>" for sentence in HOW_TO_READ)
    setting = (
        readings[0].combination or ", ".join(letter for letter, share in readings[0].levels if share)
        if readings
        else ""
    )
    return (
        f"<h2>Light meter walk: {escape(plan.name)}</h2>"
        f"<p>Switches on: {escape(setting or '________')} &nbsp; Date and time: ____________ &nbsp; Meter: ____________"
        f" &nbsp; Readings in: {wording.light_unit}</p><ol>{advice}</ol>"
        f"<table border=1 cellspacing=0 cellpadding=4 width='100%'><tr>{head}</tr>{rows}</table>"
        "<p>Distances are to the point's centre. Do not stand on a chair or bench to read; keep clear of machines.</p>"
    )


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
    document.setHtml(walk_html(plan))
    document.print_(writer)


def _row(number: int, reading: MeterReading, wording: Wording) -> str:
    facing = "up" if reading.tilt_deg < 1.0 else "down" if reading.tilt_deg > 179.0 else f"upright, {reading.note}"
    cells = (
        str(number),
        f"{wording.spot(reading.x, reading.y)} ({reading.note})"
        if reading.note
        else wording.spot(reading.x, reading.y),
        wording.length(reading.height),
        facing,
        "" if reading.lux is None else f"{wording.number(reading.lux):g}",
        "" if reading.dark_lux == 0.0 else f"{wording.number(reading.dark_lux):g}",
    )
    return "<tr>" + "".join(f"<td>{escape(cell) or '&nbsp;'}</td>" for cell in cells) + "</tr>"
