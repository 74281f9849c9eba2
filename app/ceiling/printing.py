"""Printing a book true to scale. In a file of its own, because Qt's print support needs a system library of its own."""

from __future__ import annotations

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QWidget

from app.prints.ceiling.book import Book
from app.prints.paper.draft import Draft
from app.prints.paper.page import draw_page

__all__ = ["print_book", "print_on"]


def print_book(book: Book, parent: QWidget) -> bool:
    """Ask for a printer and print; whether it was sent."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(f"Ceiling sheet: {book.imprint.plan}")
    paper = book.imprint.paper
    size = QPageSize(QSizeF(paper.width, paper.height), QPageSize.Unit.Millimeter, paper.name)
    printer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    # Without this the origin is the printer's own margin, and everything would be off by it.
    printer.setFullPage(True)
    dialog = QPrintDialog(printer, parent)
    chosen = dialog.exec() == QPrintDialog.DialogCode.Accepted
    dialog.deleteLater()
    return chosen and print_on(book, printer)


def print_on(book: Book, printer: QPrinter) -> bool:
    """Print all pages, or those chosen in the printer's range; whether it could begin."""
    first, last = printer.fromPage() or 1, printer.toPage() or len(book.pages)
    painter = QPainter()
    if not painter.begin(printer):
        return False
    dots = printer.resolution() / 25.4
    for number in range(first - 1, min(last, len(book.pages))):
        if number > first - 1:
            printer.newPage()
        painter.resetTransform()
        painter.scale(dots, dots)
        draw_page(Draft(painter), book.pages[number], book.imprint, number + 1, len(book.pages))
    painter.end()
    return True
