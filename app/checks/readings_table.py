"""The table of meter readings: where, with what on, what was read, what is predicted, what may be wrong."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QHeaderView, QTableWidgetItem

from app.checks.told_table import ToldTable
from core.checks.finding import Wording
from core.metering.compare import Row
from core.metering.old_light import Gain
from core.plan import Plan
from core.plan.checking import MeterReading

__all__ = ["DARK", "READ", "REMARK", "ReadingsTable"]

_HEADS = ("", "where", "sensor", "switches\non", "reading", "lights\noff", "pre-\ndicted", "off by", "remark")
READ, DARK, REMARK = 4, 5, 8
_EMPTY = (
    "No readings yet. 'Lay out a walk' puts numbered points on benches, at eyes and over the room; print them with "
    "'Walk sheet…', read them with the lights on and off, and type them here. Or click 'Read at a place…', or paste a "
    "table."
)
_WIDTHS = {0: 34, 2: 82, 3: 74, READ: 66, DARK: 58, 6: 60, 7: 58}


class ReadingsTable(ToldTable):
    """Readings are typed into two of the columns; nothing else can be changed here."""

    typed = Signal(int, bool, str)  # row, whether it is the lights-off reading, what was typed

    def __init__(self) -> None:
        super().__init__(_EMPTY)
        self.setColumnCount(len(_HEADS))
        self.setHorizontalHeaderLabels(_HEADS)
        self.setAccessibleName("Meter readings")
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        for column, width in _WIDTHS.items():
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
            self.setColumnWidth(column, width)
        self.itemChanged.connect(self._changed)

    def put(self, plan: Plan, rows: Mapping[str, Row], gains: Mapping[str, Gain]) -> None:
        """Show a plan's readings with what is known of each, by its id."""
        wording = Wording(plan, "")
        self.blockSignals(True)
        self.setHorizontalHeaderItem(READ, QTableWidgetItem(f"{_HEADS[READ]}\n{wording.light_unit}"))
        self.setRowCount(len(plan.checking.readings))
        for number, reading in enumerate(plan.checking.readings):
            found = _found(rows.get(reading.id), gains.get(reading.id), reading, wording)
            for column, text in enumerate((*_cells(number, reading, wording), *found)):
                item = QTableWidgetItem(text)
                if column not in (READ, DARK):
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                item.setToolTip(text)
                self.setItem(number, column, item)
        self.blockSignals(False)
        self.wrap_rows()

    def refuse(self, row: int, is_dark: bool, reason: str, colour: QColor) -> None:
        """Leave what was typed where it is, and say why it cannot be used; the plan keeps the last good value."""
        item = self.item(row, DARK if is_dark else READ)
        if item is not None:
            self.blockSignals(True)
            item.setForeground(colour)
            item.setToolTip(reason)
            self.blockSignals(False)

    def chosen_rows(self) -> list[int]:
        """Return the numbers of the chosen rows."""
        return sorted({index.row() for index in self.selectedIndexes()})

    def _changed(self, item: QTableWidgetItem) -> None:
        if item.column() in (READ, DARK):
            self.typed.emit(item.row(), item.column() == DARK, item.text().strip())


def _found(row: Row | None, gain: Gain | None, reading: MeterReading, wording: Wording) -> tuple[str, str, str]:
    if row is not None:
        return f"{wording.number(row.predicted):g}", f"{round(100 * row.residual):+d} %", row.why
    if gain is not None:
        return f"{wording.number(gain.planned):g}", f"× {gain.times:.1f}", "old lamps: what the plan gives instead"
    return "", "", "old lamps" if reading.lamps == "old" else ""


def _cells(number: int, reading: MeterReading, wording: Wording) -> tuple[str, ...]:
    where = wording.spot(reading.x, reading.y).replace(" of the plan", "")
    on = reading.combination or ", ".join(letter for letter, share in reading.levels if share > 0.0)
    return (
        str(number + 1),
        f"{reading.note}: {where}" if reading.note else where,
        f"{wording.length(reading.height)} up, {_facing(reading)}",
        "old lamps" if reading.lamps == "old" else on,
        "" if reading.lux is None else f"{wording.number(reading.lux):g}",
        "" if reading.dark_lux == 0.0 else f"{wording.number(reading.dark_lux):g}",
    )


def _facing(reading: MeterReading) -> str:
    if reading.tilt_deg < 1.0:
        return "flat"
    if reading.tilt_deg > 179.0:
        return "looks down"
    turned = "upright" if abs(reading.tilt_deg - 90.0) < 1.0 else f"tilted {reading.tilt_deg:.0f}°"
    return f"{turned}, {reading.azimuth_deg % 360.0:.0f}°"
