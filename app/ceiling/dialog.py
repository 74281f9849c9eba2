"""The ceiling sheet: its pages beside what they depend on; saved as PDF, SVG or picture, or printed."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QTabWidget, QVBoxLayout, QWidget

from app.ceiling.boxes import Boxes
from app.ceiling.cost import LightCost
from app.ceiling.measures import Measures
from app.ceiling.preview import Preview
from app.document import Document
from app.guard import guarded
from app.panels.words import words
from app.prints.ceiling.book import Book, ceiling_book
from app.prints.paper.output import page_png, page_svg
from app.prints.picture import plan_picture
from app.solver import Solver
from app.style import restyle
from core.ceiling import CeilingSheet, WallPairError, as_built_plan, sheet_as_far_as_known
from core.plan.safe_write import write_safely, writing_trouble
from core.tables import slug

__all__ = ["CeilingDialog"]

_FILTERS = "PDF, all pages (*.pdf);;SVG, this page (*.svg);;Picture, this page (*.png)"
_REST_MS = 80


class CeilingDialog(QDialog):
    """Follows the plan while it is open."""

    def __init__(self, document: Document, solver: Solver, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._solver = document, solver
        self.sheet: CeilingSheet | None = None
        self.setWindowTitle("Ceiling sheet")
        self.preview = Preview()
        self.measures = Measures(document)
        self.boxes = Boxes(document)
        self.light_cost = LightCost(lambda plan, is_old: solver.engine.solve(plan, cancelled=is_old), self)
        self.boxes.cost_wanted.connect(self.light_cost.ask)
        self.light_cost.answered.connect(self.boxes.show_cost)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.measures, "Walls and lengths")
        self.tabs.addTab(self.boxes, "Boxes and joists")
        self.said = words("", "small", "muted", wrap=True)
        self._lay_out()
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self.refresh)
        document.changed.connect(lambda *_: self._rest.start())
        self.resize(1120, 760)
        self.refresh()

    def _lay_out(self) -> None:
        self.save = QPushButton("Save…")
        self.save.setToolTip("All pages as PDF, or the page shown as SVG or picture")
        self.save.clicked.connect(self.ask_and_save)
        self.print = QPushButton("Print…")
        self.print.clicked.connect(self.ask_and_print)
        close = QPushButton("Close")
        close.clicked.connect(self.close)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        for button in (self.save, self.print, close):
            button.setAutoDefault(False)
            foot.addWidget(button)
        halves = QHBoxLayout()
        halves.setSpacing(16)
        halves.addWidget(self.preview, 1)
        halves.addWidget(self.tabs, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addLayout(halves, 1)
        column.addLayout(foot)

    def refresh(self) -> None:
        """Work the sheet out anew and show it."""
        self.light_cost.call_off()
        try:
            sheet = sheet_as_far_as_known(self._document.settled_plan)
        except WallPairError as problem:
            self._say(str(problem), bad=True)
            self.setEnabled(True)
            for part in (self.preview, self.tabs, self.save, self.print):
                part.setEnabled(False)
            return
        for part in (self.preview, self.tabs, self.save, self.print):
            part.setEnabled(True)
        self.sheet = sheet
        self.preview.set_book(self._book(sheet))
        self.measures.show_sheet(sheet)
        self.boxes.show_sheet(sheet)

    def _book(self, sheet: CeilingSheet) -> Book:
        lighting = self._solver.lighting
        plan = as_built_plan(sheet)
        if lighting is None or self._solver.is_stale or plan is not sheet.plan:
            # With boxes cut elsewhere the light on the screen is that of the plan: the report works it out anew.
            return ceiling_book(sheet)
        levels = dict.fromkeys((group.letter for group in plan.groups), 1.0)
        return ceiling_book(sheet, light=lambda: plan_picture(plan, lighting, levels, "All on"))

    def ask_and_save(self) -> None:
        """Ask where to, and save: all pages as PDF, or the page shown."""
        name = f"{slug(self._document.plan.name)}-ceiling-sheet.pdf"
        chosen, kind = QFileDialog.getSaveFileName(self, "Save the ceiling sheet", name, _FILTERS)
        if chosen:
            path = Path(chosen)
            if path.suffix.lower() not in (".pdf", ".svg", ".png"):
                path = path.with_name(path.name + {"P": ".pdf", "S": ".svg"}.get(kind[:1], ".png"))
            self.save_to(path)

    def save_to(self, path: Path) -> None:
        """Save to a file; its ending says as what. What went wrong is said in the dialog."""
        book = self.preview.book
        if book is None:
            return
        try:
            if path.suffix.lower() == ".svg":
                write_safely(path, page_svg(book.pages, self.preview.number, book.imprint))
            elif path.suffix.lower() == ".png":
                write_safely(path, page_png(book.pages, self.preview.number, book.imprint))
            else:
                book.write(path)
        except (OSError, ValueError) as problem:
            self._say(writing_trouble(path, problem), bad=True)
            return
        self._say(f"Saved as {path.name}. Print it at 100 % and check the lines at the foot of the page.")

    def ask_and_print(self) -> None:
        """Ask for a printer and print all pages, true to scale."""
        try:
            from app.ceiling.printing import print_book
        except ImportError:
            self._say("This system offers no printing to programs. Save as PDF and print that, at 100 %.", bad=True)
            return
        if self.preview.book is not None and print_book(self.preview.book, self):
            self._say("Sent to the printer. Check the lines at the foot of the pages with a rule.")

    def _say(self, text: str, bad: bool = False) -> None:
        self.said.setText(text)
        self.said.setProperty("role", "danger" if bad else "muted")
        restyle(self.said)

    @guarded
    def closeEvent(self, event: QCloseEvent) -> None:
        self._rest.stop()
        self.light_cost.call_off()
        super().closeEvent(event)
