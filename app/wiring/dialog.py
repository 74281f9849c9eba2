"""The wiring window: circuits, switches, cable, boxes, what is not right; and what is printed about them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.panels.words import words
from app.prints.wiring.book import write_permit_sheet, write_settings_card
from app.style import restyle
from app.wiring.circuits_page import CircuitsPage
from app.wiring.figures_page import FiguresPage
from app.wiring.leads_page import LeadsPage
from app.wiring.nameplates_page import NameplatesPage
from app.wiring.stages_page import BoxesPage, CablePage
from app.wiring.switches_page import SwitchesPage
from core.ceiling import plan_as_hung
from core.plan import Plan
from core.plan.safe_write import writing_trouble
from core.tables import slug
from core.wiring import Wired, wired
from core.wiring.cautions import CAUTIONS, PLANNING_AID

__all__ = ["WiringDialog"]

_REST_MS = 60


class WiringDialog(QDialog):
    """Follows the plan while it is open."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.setWindowTitle("Wiring")
        self.circuits = CircuitsPage(document)
        self.switches = SwitchesPage(document)
        self.cable = CablePage(document)
        self.boxes = BoxesPage(document)
        self.leads = LeadsPage(document)
        self.nameplates = NameplatesPage(document)
        self.figures = FiguresPage(document)
        self._pages = (
            self.circuits,
            self.switches,
            self.cable,
            self.boxes,
            self.leads,
            self.nameplates,
            self.figures,
        )
        self.findings = QPlainTextEdit()
        self.findings.setReadOnly(True)
        self.findings.setAccessibleName("What is not right")
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        pages = {
            "Circuits": self.circuits,
            "Switches": self.switches,
            "Cable": self.cable,
            "Boxes": self.boxes,
            "Leads": self.leads,
            "Nameplates": self.nameplates,
            "Figures": self.figures,
            "To put right": self.findings,
        }
        for name, page in pages.items():
            self.tabs.addTab(page, name)
        self.said = words("", "small", "muted", wrap=True)
        self._lay_out()
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self.refresh)
        document.changed.connect(self._plan_changed)
        self.resize(1000, 660)
        self.refresh()

    def _plan_changed(self) -> None:
        self._rest.start()

    def _lay_out(self) -> None:
        self.permit = self._button("Permit sheet…", self.ask_for_permit_sheet)
        self.card = self._button("Settings card…", self.ask_for_settings_card)
        close = self._button("Close", self.close)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        for button in (self.permit, self.card, close):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(self.tabs, 1)
        column.addWidget(words(f"{PLANNING_AID} {' '.join(CAUTIONS)}", "small", "muted", wrap=True))
        column.addLayout(foot)

    def _button(self, text: str, do: Callable[[], object]) -> QPushButton:
        button = QPushButton(text)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: do())
        return button

    def refresh(self) -> None:
        """Show the wiring of the present plan."""
        if self._document.in_gesture:
            return
        plan = plan_as_hung(self._document.plan)
        done = wired(plan)
        for page in self._pages:
            page.show_wired(plan, done)
        self.findings.setPlainText(_findings_text(plan, done))
        count = len(done.findings)
        self.tabs.setTabText(self.tabs.indexOf(self.findings), f"To put right ({count})" if count else "To put right")

    def ask_for_permit_sheet(self) -> None:
        """Ask where to, and write the permit sheet."""
        self._ask("permit sheet", self.save_permit_sheet)

    def ask_for_settings_card(self) -> None:
        """Ask where to, and write the settings card."""
        self._ask("settings card", self.save_settings_card)

    def save_permit_sheet(self, path: Path) -> None:
        """Write the permit sheet; say how that went."""
        self._write(write_permit_sheet, path)

    def save_settings_card(self, path: Path) -> None:
        """Write the settings card; say how that went."""
        self._write(write_settings_card, path)

    def _ask(self, what: str, save: Callable[[Path], None]) -> None:
        name = f"{slug(self._document.plan.name)}-{slug(what)}.pdf"
        chosen, _ = QFileDialog.getSaveFileName(self, f"Save the {what}", name, "PDF (*.pdf)")
        if chosen:
            path = Path(chosen)
            save(path if path.suffix.lower() == ".pdf" else path.with_name(path.name + ".pdf"))

    def _write(self, write: Callable[[Plan, Path], None], path: Path) -> None:
        try:
            write(self._document.settled_plan, path)
        except (OSError, ValueError) as problem:
            self.say(writing_trouble(path, problem), "danger")
            return
        self.say(f"Saved as {path.name}.")

    def say(self, text: str, tone: str = "muted") -> None:
        """Say something at the foot."""
        self.said.setText(text)
        self.said.setProperty("role", tone)
        restyle(self.said)


def _findings_text(plan: Plan, done: Wired) -> str:
    if not done.findings:
        return "Nothing is found. That is not a permit: an inspector sees more than this program."
    parts = []
    for found in done.findings:
        figure = "" if found.figure is None else f"\n{found.figure:g} {found.unit}"
        target = "" if found.target is None else f", at most {found.target:g}"
        parts.append(
            f"{found.where}: {found.what}.{figure}{target}\n{found.cause} {found.remedy}\nSource: {found.source}"
        )
    return "\n\n".join(parts)
