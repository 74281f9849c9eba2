"""The light meter: readings on the plan, typed or pasted; a walk sheet; measured against predicted; calibration."""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QSplitter,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.checks.background import setting_name
from app.checks.mark_sheet import MarkSheet
from app.checks.meter_plot import MeterPlot
from app.checks.walk_sheet import save_walk_sheet
from app.document import Document
from app.guard import guarded
from app.light.worker import in_plain_words
from app.panels.words import words
from app.reading import Reading
from app.style import restyle
from app.theme import Theme
from core.checks.finding import Wording
from core.light.engine import LightEngine
from core.light.roomlight import Cancelled
from core.metering.calibrate import Calibration, calibrate, with_light_factor, with_walls
from core.metering.pasted import PasteError, read_pasted
from core.metering.walk import trial, walk_points
from core.plan import Plan, Point
from core.plan.checking import MeterReading, fresh_number, with_entry, without_entry
from core.tables import slug
from core.units import UnitError, UnitSystem, parse_illuminance

__all__ = ["MeterWindow"]

_HEADS = (
    "point",
    "where",
    "height",
    "sensor",
    "switches\non",
    "reading",
    "lights\noff",
    "pre-\ndicted",
    "off by",
    "remark",
)
_READING, _DARK = 5, 6
_log = logging.getLogger(__name__)


class MeterWindow(QDialog):
    """Follows the plan while it is open; every change of the readings is a step of undo."""

    _compared = Signal(int, object)  # number of the request; Calibration, or a failure in words

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
        self._document, self._reading, self._engine = document, reading, engine
        self._sheet, self._theme_now = sheet, theme_now
        self.calibration: Calibration | None = None
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="meter")
        self._number = 0
        self.setWindowTitle("Light meter")
        self.outcome = words("", "body", wrap=True)
        self.said = words("", "small", "good", wrap=True)
        self.table = self._table()
        self.plot = MeterPlot(theme_now())
        self.buttons: dict[str, QPushButton] = {}
        self._lay_out()
        self._compared.connect(self._take)
        document.changed.connect(self._plan_changed)
        sheet.show_readings = True
        self.resize(1120, 640)
        self.refresh()

    def _table(self) -> QTableWidget:
        table = QTableWidget()
        table.setColumnCount(len(_HEADS))
        table.setHorizontalHeaderLabels(_HEADS)
        table.verticalHeader().hide()
        table.setAlternatingRowColors(True)
        table.setWordWrap(True)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setAccessibleName("Meter readings")
        table.setTabKeyNavigation(False)  # Tab leaves the table; arrow keys move in it
        table.itemChanged.connect(self._typed)
        table.itemSelectionChanged.connect(self._row_chosen)
        return table

    def _lay_out(self) -> None:
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.table)
        split.addWidget(self.plot)
        split.setSizes([740, 360])
        row = QHBoxLayout()
        foot = QHBoxLayout()
        for line, entries in (
            (
                row,
                (
                    ("Lay out a walk", self.lay_out_walk, "Numbered points on benches, at eyes and over the room"),
                    ("Read at a place…", self.place_one, "Click on the plan where you read"),
                    (
                        "Paste a table",
                        self.paste,
                        "Readings copied from a spreadsheet: point and reading, or x, y and reading",
                    ),
                    ("Walk sheet…", self.ask_walk_sheet, "Save the numbered points with blanks as a PDF to print"),
                    (
                        "Try a lamp",
                        self.try_lamp,
                        "Where to tape up the selected fixture, where to read, what to expect",
                    ),
                    ("Remove", self.remove, "Remove the chosen readings"),
                ),
            ),
            (
                foot,
                (
                    ("Compare", self.compare, "Work out what the plan predicts at each reading"),
                    ("Bring the plan to the readings", self.apply_factor, "All lumens times the fitted factor"),
                    ("Take over the walls", self.apply_walls, "The walls' reflectance as the readings tell it"),
                    ("Close", self.close, ""),
                ),
            ),
        ):
            for name, do, tip in entries:
                button = QPushButton(name)
                button.setToolTip(tip)
                button.setAutoDefault(False)
                button.clicked.connect(lambda _=False, do=do: do())
                line.addWidget(button)
                self.buttons[name] = button
        row.addStretch(1)
        foot.insertWidget(0, self.said, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 16, 16, 16)
        for part in (row, split, self.outcome, foot):
            whole.addLayout(part) if isinstance(part, QHBoxLayout) else whole.addWidget(part)
        whole.setStretch(1, 1)

    # --- readings

    def lay_out_walk(self) -> None:
        """Put numbered blank readings on the plan at the present switch setting, in place of blank ones."""
        plan, levels = self._document.settled_plan, dict(self._reading.levels)
        taken = tuple(r for r in plan.checking.readings if r.lux is not None)
        checking = replace(plan.checking, readings=taken)
        for point in walk_points(plan, levels, setting_name(plan, levels)):
            checking = with_entry(checking, replace(point, id=fresh_number(checking, "reading")))
        self._document.apply("Lay out a walk", replace(plan, checking=checking))

    def place_one(self) -> None:
        """Wait for a click on the plan and put a blank reading there."""
        self._say("Click on the plan where the reading is taken; Escape leaves it.")
        self._sheet.pick(self._place_at)

    def _place_at(self, point: Point | None) -> None:
        self._say("")
        if point is None:
            return
        plan = self._document.settled_plan
        made = replace(self._blank(plan), id=fresh_number(plan.checking, "reading"), x=point[0], y=point[1])
        self._document.apply("Place a reading", replace(plan, checking=with_entry(plan.checking, made)))

    def paste(self) -> None:
        """Take readings from the clipboard."""
        self.take_text(QGuiApplication.clipboard().text())

    def take_text(self, text: str) -> None:
        """Take readings from a pasted table."""
        plan = self._document.settled_plan
        try:
            found = read_pasted(text, plan.checking.readings, self._blank(plan), self._units)
        except PasteError as problem:
            self._say(str(problem), "danger")
            return
        checking = plan.checking
        for reading in found:
            if reading.id.startswith("new-"):
                reading = replace(reading, id=fresh_number(checking, "reading"))
            checking = with_entry(checking, reading)
        self._document.apply("Paste readings", replace(plan, checking=checking))
        self._say(f"{len(found)} readings taken over.")

    def remove(self) -> None:
        """Remove the chosen readings."""
        plan = self._document.settled_plan
        checking, rows = plan.checking, {index.row() for index in self.table.selectedIndexes()}
        for row in rows:
            checking = without_entry(checking, plan.checking.readings[row].id)
        if rows:
            self._document.apply("Remove readings", replace(plan, checking=checking))
        else:
            self._say("Choose lines of the table first.", "warn")

    def _typed(self, item: QTableWidgetItem) -> None:
        plan, column, text = self._document.settled_plan, item.column(), item.text().strip()
        reading = plan.checking.readings[item.row()]
        try:
            lux = parse_illuminance(text, self._units) if text else None
        except UnitError as problem:
            self._say(str(problem), "danger")
            self.refresh()
            return
        now = datetime.now().isoformat(" ", "minutes")
        if column == _READING:
            changed = replace(reading, lux=lux, taken=now, unit="fc" if self._units is UnitSystem.US else "lx")
        elif column == _DARK:
            changed = replace(reading, dark_lux=lux or 0.0)
        else:
            return
        self._say("")
        self._document.apply("Type a reading", replace(plan, checking=with_entry(plan.checking, changed)))

    def _blank(self, plan: Plan) -> MeterReading:
        levels = tuple((letter, share) for letter, share in self._reading.levels.items() if share > 0.0)
        unit = "lx" if plan.units == "metric" else "fc"
        name = setting_name(plan, dict(levels))
        return MeterReading("new", 0.0, 0.0, plan.work_plane, levels=levels, combination=name, unit=unit)  # type: ignore[arg-type]

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

    def try_lamp(self) -> None:
        """Tell where to tape up the selected fixture before buying more, and put a blank reading there."""
        plan = self._document.settled_plan
        chosen = [f for f in plan.fixtures if f.id in self._document.selection]
        if len(chosen) != 1:
            self._say("Select one fixture on the plan: the lamp that you have, where you mean to tape it up.", "warn")
            return
        told = trial(plan, chosen[0].id, self._engine)
        self.outcome.setText(told.words)

    # --- comparing

    def compare(self) -> None:
        """Begin to compare the readings with the plan."""
        self._number += 1
        number, plan = self._number, self._document.settled_plan
        self._say("What the plan predicts is being worked out…")

        def work() -> None:
            try:
                result: object = calibrate(
                    plan, plan.checking.readings, self._engine, cancelled=lambda: number != self._number
                )
            except Cancelled:
                return
            except ValueError as problem:
                result = str(problem)
            except Exception as problem:
                _log.exception("comparing readings of the plan %r", plan.name)
                result = in_plain_words(problem)
            if number == self._number:
                self._compared.emit(number, result)

        self._pool.submit(work)

    def _take(self, number: int, result: object) -> None:
        if number != self._number:
            return
        self._say("")
        if isinstance(result, Calibration):
            self.calibration = result
            self.outcome.setText(result.words(self._document.plan))
        else:
            self.calibration = None
            self.outcome.setText("")
            self._say(str(result), "danger")
        self.refresh()

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

    @property
    def _units(self) -> UnitSystem:
        return UnitSystem.METRIC if self._document.plan.units == "metric" else UnitSystem.US

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        if self._document.in_gesture:
            return
        if old.checking.readings != new.checking.readings or old.fixtures != new.fixtures or old.models != new.models:
            self._number += 1
            self.calibration = None
        self.refresh()

    def refresh(self) -> None:
        """Write the table and the plot anew."""
        plan = self._document.settled_plan
        wording = Wording(plan, "")
        comparison = self.calibration.comparison if self.calibration is not None else None
        rows = {row.reading.id: row for row in comparison.rows} if comparison is not None else {}
        self.table.blockSignals(True)
        self.table.setRowCount(len(plan.checking.readings))
        for number, reading in enumerate(plan.checking.readings):
            row = rows.get(reading.id)
            found = ("", "", "")
            if row is not None:
                found = (f"{wording.number(row.predicted):g}", f"{round(100 * row.residual):+d} %", row.why)
            texts = (*_cells(number, reading, wording), *found)
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                if column not in (_READING, _DARK):
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                self.table.setItem(number, column, item)
        self.table.blockSignals(False)
        for column, width in enumerate((46, 150, 56, 76, 78, 66, 58, 66, 62)):
            self.table.setColumnWidth(column, width)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.table.resizeRowsToContents()
        self.plot.put(comparison, self._theme_now(), self._units)
        self._sheet.residuals = {identity: row.residual for identity, row in rows.items()}
        self._sheet.odd = frozenset(identity for identity, row in rows.items() if row.is_odd)
        self._sheet.update()

    def _row_chosen(self) -> None:
        rows = sorted({index.row() for index in self.table.selectedIndexes()})
        readings = self._document.settled_plan.checking.readings
        self._sheet.point_at((readings[rows[0]].x, readings[rows[0]].y) if rows and rows[0] < len(readings) else None)

    def _say(self, text: str, tone: str = "good") -> None:
        self.said.setProperty("role", tone)
        self.said.setText(text)
        restyle(self.said)

    def shutdown(self) -> None:
        """Drop what is being worked out and wait for its end."""
        self._number += 1
        self._pool.shutdown(wait=True, cancel_futures=True)

    @guarded
    def closeEvent(self, event: QCloseEvent) -> None:
        self._sheet.show_readings = False
        self._sheet.residuals, self._sheet.odd = {}, frozenset()
        self._sheet.point_at(None)
        super().closeEvent(event)


def _cells(number: int, reading: MeterReading, wording: Wording) -> tuple[str, ...]:
    sensor = "up" if reading.tilt_deg < 1.0 else "down" if reading.tilt_deg > 179.0 else "upright"
    where = wording.spot(reading.x, reading.y).replace(" of the plan", "")
    on = reading.combination or ", ".join(letter for letter, share in reading.levels if share > 0.0)
    return (
        str(number + 1),
        f"{reading.note}: {where}" if reading.note else where,
        wording.length(reading.height),
        sensor if sensor != "upright" else f"upright, {reading.azimuth_deg:.0f}°",
        on,
        "" if reading.lux is None else f"{wording.number(reading.lux):g}",
        "" if reading.dark_lux == 0.0 else f"{wording.number(reading.dark_lux):g}",
    )
