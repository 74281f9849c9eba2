"""The ceiling sheet: its pages beside what they depend on; saved as PDF, SVG or picture, or printed."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QTabWidget, QVBoxLayout, QWidget

from app.ceiling.aside import Aside
from app.ceiling.boxes import Boxes
from app.ceiling.measures import Measures
from app.ceiling.preview import Preview
from app.ceiling.sheet_light import LightOfSheet
from app.checks.background import Background
from app.document import Document
from app.guard import guarded
from app.panels.words import words
from app.prints.ceiling.book import ceiling_book
from app.prints.ceiling.light_page import SheetLight
from app.prints.paper.output import page_png, page_svg
from app.solver import Solver
from app.style import restyle
from core.ceiling import CeilingSheet, WallPairError, light_cost, sheet_as_far_as_known
from core.plan import Plan
from core.plan.safe_write import write_safely, writing_trouble
from core.tables import slug

__all__ = ["CeilingDialog"]

_FILTERS = "PDF, all pages (*.pdf);;SVG, this page (*.svg);;Picture, this page (*.png)"
_REST_MS = 80
_AT_WORK = "Working out the light and the findings for the last pages …"


class CeilingDialog(QDialog):
    """Follows the plan while it is open."""

    def __init__(
        self,
        document: Document,
        solver: Solver,
        parent: QWidget | None = None,
        background: Background | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._solver = document, solver
        self.sheet: CeilingSheet | None = None
        self.setWindowTitle("Ceiling sheet")
        self.preview = Preview()
        self.measures = Measures(document)
        self.boxes = Boxes(document)
        self._pending: Path | None = None
        self._warned = self._stood_back = False
        self.light = LightOfSheet(solver, background, self)
        self.light.ready.connect(self._take_light)
        self.light_cost = Aside(self)
        self.boxes.cost_wanted.connect(self._weigh)
        self.light_cost.answered.connect(self._take_cost)
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
        document.changed.connect(self._plan_changed)  # a method: Qt lets go of it with the window, of a lambda never
        # No larger than the screen, whose edges a window's own frame needs too.
        self.resize(QSize(1120, 760).boundedTo(self.screen().availableSize() - QSize(24, 48)))
        self.refresh()

    def _plan_changed(self) -> None:
        self._rest.start()

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
        self.light.call_off()
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
        self.preview.set_book(ceiling_book(sheet))
        self.measures.show_sheet(sheet)
        self.boxes.show_sheet(sheet)
        self._say(_AT_WORK)
        self.print.setEnabled(False)
        self.light.ask(sheet)

    def _take_light(self, sheet: object, light: object) -> None:
        """Put the pages of the light in; do what waited for them."""
        if sheet is not self.sheet or self.sheet is None:
            return
        self.print.setEnabled(True)
        if isinstance(light, SheetLight):
            self.preview.set_book(ceiling_book(self.sheet, light=light))
            self._say("")
        else:
            self._say("The light cannot be worked out now; the sheet goes without its pages.", bad=True)
        pending, self._pending = self._pending, None
        if pending is not None:
            self.save_to(pending)

    def _take_cost(self, key: object, costs: object) -> None:
        self.boxes.show_cost(key, costs)
        if self._stood_back and self.sheet is not None:
            self.light.ask(self.sheet)
        self._stood_back = False

    def _weigh(self, key: object, before: Plan, after: Plan) -> None:
        """Work out aside what a move does to the benches; the light of the pages stands back meanwhile."""
        self._stood_back = self.light.is_busy
        self.light.call_off()
        solve = self._solver.engine.solve
        self.light_cost.ask(
            key, lambda is_old: light_cost(solve(before, cancelled=is_old), solve(after, cancelled=is_old))
        )

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
        """Save to a file; its ending says as what. What went wrong is said in the dialog.

        A whole sheet waits until the light for its pages is there.
        """
        book = self.preview.book
        if book is None:
            return
        if self.light.is_busy and path.suffix.lower() not in (".svg", ".png"):
            self._pending, self._warned = path, False
            self.light.hurry()
            self._say(f"{path.name} is saved as soon as the light for its pages is worked out …")
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
        if self._pending is not None and not self._warned:
            self._warned = True
            self._say(f"{self._pending.name} is not saved yet. Close again to give it up.", bad=True)
            event.ignore()
            return
        self._rest.stop()
        self.light_cost.finish()
        self.light.finish()
        super().closeEvent(event)
