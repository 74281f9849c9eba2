"""The light meter: readings on the plan, typed or pasted; a walk sheet; measured against predicted; calibration."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent, QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.checks.fields import scrolled, units_of
from app.checks.mark_sheet import MarkSheet
from app.checks.meter_plot import MeterPlot
from app.checks.reading_edits import ReadingEdits
from app.checks.reading_form import ReadingForm
from app.checks.readings_table import ReadingsTable
from app.checks.trial_dialog import TrialDialog
from app.checks.walk_sheet import save_walk_sheet
from app.document import Document
from app.guard import guarded
from app.panels.entry import Choice
from app.panels.words import words
from app.reading import Reading
from app.style import restyle
from app.suggest.compare_dialog import CompareDialog
from app.suggest.runner import Runner
from app.theme import Theme
from core.light.engine import LightEngine
from core.metering.calibrate import Calibration, calibrate, with_light_factor, with_walls
from core.metering.old_light import OldLight, old_light
from core.plan import Plan, Point
from core.tables import slug

__all__ = ["MeterWindow", "Outcome"]

_WORKS = "What the plan predicts is being worked out…"


@dataclass(frozen=True)
class Outcome:
    """What readings told: the calibration or why there is none, and the old light where it was surveyed."""

    calibration: Calibration | None
    why: str
    old: OldLight | None


class MeterWindow(QDialog):
    """Follows the plan while it is open; every change of the readings is a step of undo."""

    def __init__(
        self,
        document: Document,
        reading: Reading,
        engine: LightEngine,
        sheet: MarkSheet,
        theme_now: Callable[[], Theme],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._engine = document, engine
        self._sheet, self._theme_now = sheet, theme_now
        self.edits = ReadingEdits(document, reading)
        self.calibration: Calibration | None = None
        self.old: OldLight | None = None
        self.setWindowTitle("Light meter")
        self.outcome = words("", "body", wrap=True)
        self.said = words("", "small", "good", wrap=True)
        self.table = ReadingsTable()
        self.plot = MeterPlot(theme_now())
        self.form = ReadingForm(document, reading)
        self.lamps = Choice(
            "new readings",
            (("of the plan's lamps", "planned"), ("of the old lamps, before", "old")),
            "Which lamps burn while you measure: only those of the plan are compared with the prediction",
        )
        self.buttons: dict[str, QPushButton] = {}
        self.runner = Runner(self)
        self._lay_out()
        self._connect()
        sheet.show_readings = True
        self.resize(1220, 700)
        self.refresh()

    def _connect(self) -> None:
        self.table.typed.connect(self._typed)
        self.table.itemSelectionChanged.connect(self._row_chosen)
        self.lamps.chosen.connect(self._choose_lamps)
        self.lamps.set_value("planned")
        self.runner.done.connect(self._take)
        self.runner.failed.connect(lambda text: self._say(text, "danger"))
        self._document.changed.connect(self._plan_changed)

    def _lay_out(self) -> None:
        self.tabs = QTabWidget()
        self.tabs.addTab(self.plot, "Measured, predicted")
        self.tabs.addTab(scrolled(self.form), "One reading")
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.table)
        split.addWidget(self.tabs)
        split.setSizes([800, 380])
        split.setChildrenCollapsible(False)
        row = self._buttons(
            ("Lay out a walk", self.lay_out_walk, "Numbered points on benches, at eyes and over the room"),
            ("Read at a place…", self.place_one, "Click on the plan where you read"),
            ("Paste a table", self.paste, "Readings from a spreadsheet: point and reading, or x, y and reading"),
            ("Walk sheet…", self.ask_walk_sheet, "Save the numbered points with blanks as a PDF to print"),
            ("Try a lamp…", self.try_lamp, "Before buying: tape one up, read below it, correct its lumens"),
            ("Remove", self.remove, "Remove the chosen readings"),
        )
        row.addStretch(1)
        self.lamps.setFixedWidth(300)
        row.addWidget(self.lamps)
        foot = self._buttons(
            ("Compare", self.compare, "Work out what the plan predicts at each reading"),
            ("Before and after…", self.show_before_and_after, "The plan as it is and as the readings tell it"),
            ("Bring the plan to the readings", self.apply_factor, "All lumens times the fitted factor"),
            ("Take the walls as measured", self.apply_walls, "The walls' reflectance as the readings tell it"),
            ("Close", self.close, ""),
        )
        foot.insertWidget(0, self.said, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 16, 16, 16)
        whole.addLayout(row)
        whole.addWidget(split, 1)
        whole.addWidget(self.outcome)
        whole.addLayout(foot)

    def _buttons(self, *entries: tuple[str, Callable[[], object], str]) -> QHBoxLayout:
        line = QHBoxLayout()
        for name, do, tip in entries:
            button = QPushButton(name)
            button.setToolTip(tip)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, do=do: do())
            line.addWidget(button)
            self.buttons[name] = button
        return line

    # --- readings

    def _choose_lamps(self, lamps: str) -> None:
        self.edits.lamps = "old" if lamps == "old" else "planned"

    def lay_out_walk(self) -> None:
        """Put numbered blank readings on the plan at the present switch setting, in place of blank ones."""
        self._tell(self.edits.lay_out_walk())

    def place_one(self) -> None:
        """Wait for a click on the plan and put a blank reading there; the window steps aside meanwhile."""
        self.hide()
        self._sheet.pick(self._place_at, "Click where the reading is taken.")

    def _place_at(self, point: Point | None) -> None:
        if point is not None:
            self._tell(self.edits.place(point))
        self.show()
        if point is not None:
            self.table.selectRow(self.table.rowCount() - 1)
            self.tabs.setCurrentIndex(1)

    def paste(self) -> None:
        """Take readings from the clipboard."""
        self.take_text(QGuiApplication.clipboard().text())

    def take_text(self, text: str) -> None:
        """Take readings from a pasted table."""
        self._tell(self.edits.paste(text))

    def remove(self) -> None:
        """Remove the chosen readings."""
        self._tell(self.edits.remove(self.table.chosen_rows()))

    def _typed(self, row: int, is_dark: bool, text: str) -> None:
        trouble = self.edits.type_in(row, is_dark, text)
        self._tell(trouble)
        if trouble:
            self.table.refuse(row, is_dark, trouble, self._theme_now().danger)

    def ask_walk_sheet(self) -> None:
        """Ask for a file and save the walk sheet there."""
        plan = self._document.settled_plan
        if not plan.checking.readings:
            self._say("Lay out a walk first, then there are points to print.", "warn")
            return
        name = f"{slug(plan.name)}-light-meter-walk.pdf"
        path, _ = QFileDialog.getSaveFileName(self, "Save the walk sheet", name, "PDF (*.pdf)")
        if path:
            try:
                save_walk_sheet(plan, Path(path))
            except OSError as problem:
                self._say(f"Not saved: {problem.strerror}. Try another folder.", "danger")
            else:
                self._say(f"Saved to {path}.")

    def try_lamp(self) -> TrialDialog:
        """Open the trial of one lamp before buying more."""
        dialog = TrialDialog(self._document, self._engine, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setModal(True)
        dialog.show()
        return dialog

    # --- comparing

    def compare(self) -> None:
        """Begin to compare the readings with the plan."""
        plan, engine = self._document.settled_plan, self._engine
        self._say(_WORKS)

        def work(_progress: Any, cancelled: Callable[[], bool], _found: Any) -> Outcome:
            readings = plan.checking.readings
            old = old_light(plan, readings, engine, cancelled)
            try:
                return Outcome(calibrate(plan, readings, engine, cancelled=cancelled), "", old)
            except ValueError as problem:
                return Outcome(None, str(problem), old)

        self.runner.start(work)

    def _take(self, outcome: Outcome) -> None:
        self.calibration, self.old = outcome.calibration, outcome.old
        plan = self._document.plan
        told = [
            outcome.calibration.words(plan) if outcome.calibration is not None else "",
            outcome.old.words(plan) if outcome.old is not None else "",
        ]
        self.outcome.setText(" ".join(part for part in told if part))
        only_old = outcome.old is not None and all(r.lamps == "old" for r in plan.checking.readings)
        self._say("" if only_old else outcome.why, "danger")
        self.refresh()

    def _calibrated(self) -> Plan | None:
        """Return the plan as the readings tell it: walls too where they can tell; None before comparing."""
        if self.calibration is None:
            return None
        plan, walls = self._document.settled_plan, self.calibration.walls
        if walls.known:
            return with_walls(with_light_factor(plan, walls.factor), walls.reflectance)
        return with_light_factor(plan, self.calibration.comparison.factor.value)

    def show_before_and_after(self) -> CompareDialog | None:
        """Put the plan as it is and as the readings tell it side by side."""
        after, plan = self._calibrated(), self._document.settled_plan
        if after is None:
            self._say("Compare first.", "warn")
            return None
        dialog = CompareDialog(
            ("before", plan), ("after", after), self._engine, self._theme_now(), units_of(plan), self
        )
        dialog.setWindowTitle("The plan before and after the readings")
        dialog.show()
        return dialog

    def apply_factor(self) -> None:
        """Multiply all lumens by the fitted factor, as one step of undo."""
        if self.calibration is None:
            self._say("Compare first.", "warn")
            return
        factor = self.calibration.comparison.factor
        plan = with_light_factor(self._document.settled_plan, factor.value)
        self._document.apply(f"All light times {factor.value:.2f}", plan)
        self._say("Done; Undo shows the plan before. Compare again to see what is left.")

    def apply_walls(self) -> None:
        """Take over the walls' reflectance and the light factor that goes with it, as one step of undo."""
        walls = self.calibration.walls if self.calibration is not None else None
        if walls is None or not walls.known:
            self._say(walls.words if walls is not None else "Compare first.", "warn")
            return
        plan = with_walls(with_light_factor(self._document.settled_plan, walls.factor), walls.reflectance)
        self._document.apply(f"Walls {walls.reflectance:.2f}, light times {walls.factor:.2f}", plan)
        self._say("Done; Undo shows the plan before.")

    # --- what is shown

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        if self._document.in_gesture:
            return
        if _what_counts(old) != _what_counts(new):
            self.runner.drop()
            if self.said.text() == _WORKS:
                self._say("The plan changed: compare again.", "warn")
            if self.calibration is not None or self.old is not None:
                self.outcome.setText("")
            self.calibration = self.old = None
        self.refresh()

    def refresh(self) -> None:
        """Write the table and the plot anew."""
        plan = self._document.settled_plan
        comparison = self.calibration.comparison if self.calibration is not None else None
        rows = {row.reading.id: row for row in comparison.rows} if comparison is not None else {}
        gains = {row.reading.id: row for row in self.old.rows} if self.old is not None else {}
        self.table.put(plan, rows, gains)
        self.form.refresh()
        self.plot.put(comparison, self._theme_now(), units_of(plan))
        self._sheet.residuals = {identity: row.residual for identity, row in rows.items()}
        self._sheet.odd = frozenset(identity for identity, row in rows.items() if row.is_odd)
        self._sheet.update()

    def _row_chosen(self) -> None:
        rows, readings = self.table.chosen_rows(), self._document.settled_plan.checking.readings
        chosen = readings[rows[0]] if rows and rows[0] < len(readings) else None
        self._sheet.point_at((chosen.x, chosen.y) if chosen is not None else None)
        self.form.show_reading(chosen.id if chosen is not None else "")

    def _tell(self, trouble: str) -> None:
        self._say(trouble, "danger")

    def _say(self, text: str, tone: str = "good") -> None:
        self.said.setProperty("role", tone)
        self.said.setText(text)
        restyle(self.said)

    def shutdown(self) -> None:
        """Drop what is being worked out and wait for its end."""
        self.runner.shutdown()

    @guarded
    def closeEvent(self, event: QCloseEvent) -> None:
        self._sheet.show_readings = False
        self._sheet.residuals, self._sheet.odd = {}, frozenset()
        self._sheet.point_at(None)
        super().closeEvent(event)


def _what_counts(plan: Plan) -> tuple[object, ...]:
    """Return what of a plan its comparison with readings depends on."""
    return (
        tuple(replace(reading, note="", taken="") for reading in plan.checking.readings),
        plan.fixtures,
        plan.models,
        plan.room,
        plan.furniture,
    )
