"""Putting pages out: one PDF, or a single page as SVG or picture."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRectF, QSize, QSizeF
from PySide6.QtGui import QImage, QImageWriter, QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtSvg import QSvgGenerator

from app.prints.paper.draft import Draft
from app.prints.paper.page import Imprint, Page, draw_page
from core.plan.safe_write import write_safely

__all__ = ["page_image", "page_png", "page_svg", "pdf_bytes", "write_pages"]

_DOTS_PER_INCH = 1200
_SVG_DOTS_PER_MM = 10


def pdf_bytes(pages: Sequence[Page], imprint: Imprint, title: str) -> bytes:
    """Return the pages as one PDF, true to scale when printed at 100 %."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator("Candlebench")
    writer.setResolution(_DOTS_PER_INCH)
    paper = imprint.paper
    size = QPageSize(QSizeF(paper.width, paper.height), QPageSize.Unit.Millimeter, paper.name)
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    painter = QPainter(writer)
    for number, page in enumerate(pages):
        if number:
            writer.newPage()
        painter.resetTransform()
        painter.scale(_DOTS_PER_INCH / 25.4, _DOTS_PER_INCH / 25.4)
        draw_page(Draft(painter), page, imprint, number + 1, len(pages))
    painter.end()
    return bytes(buffer.data().data())


def page_svg(pages: Sequence[Page], number: int, imprint: Imprint) -> bytes:
    """Return one page as SVG, in millimetres."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    paper = imprint.paper
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setResolution(round(_SVG_DOTS_PER_MM * 25.4))
    wide, high = paper.width * _SVG_DOTS_PER_MM, paper.height * _SVG_DOTS_PER_MM
    made.setSize(QSize(round(wide), round(high)))
    made.setViewBox(QRectF(0, 0, wide, high))
    made.setTitle(pages[number].title)
    painter = QPainter(made)
    painter.scale(_SVG_DOTS_PER_MM, _SVG_DOTS_PER_MM)
    draw_page(Draft(painter), pages[number], imprint, number + 1, len(pages))
    painter.end()
    return bytes(buffer.data().data())


def page_image(pages: Sequence[Page], number: int, imprint: Imprint, dots_per_mm: float = 8.0) -> QImage:
    """Return one page as a picture."""
    paper = imprint.paper
    size = QSize(round(paper.width * dots_per_mm), round(paper.height * dots_per_mm))
    image = QImage(size, QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(dots_per_mm * 1000))
    image.setDotsPerMeterY(round(dots_per_mm * 1000))
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.scale(dots_per_mm, dots_per_mm)
    draw_page(Draft(painter), pages[number], imprint, number + 1, len(pages))
    painter.end()
    return image


def page_png(pages: Sequence[Page], number: int, imprint: Imprint) -> bytes:
    """Return one page as a PNG file; OSError if that cannot be."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(page_image(pages, number, imprint)):
        raise OSError(writer.errorString())
    return bytes(buffer.data().data())


def write_pages(pages: Sequence[Page], imprint: Imprint, title: str, path: Path) -> None:
    """Write the pages as one PDF file; OSError if it cannot be written."""
    write_safely(path, pdf_bytes(pages, imprint, title))
