"""Every switch setting in one table: light of the room and of each bench, evenness, lumens, watts."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.words import words
from app.reading import Reading, power
from app.switches import Switches
from core.plan import Combination, Level
from core.report import ReportedCombination, reported_combinations
from core.units import LUX_PER_FC, UnitSystem, show_lumens, show_ratio, show_watts

__all__ = ["SettingsTable"]


class SettingsTable(QDialog):
    """Follows the light while it is open; a double click, or Enter, sets the switches."""

    def __init__(self, reading: Reading, switches: Switches, units: UnitSystem, parent: QWidget) -> None:
        super().__init__(parent)
        self._reading, self._switches, self._units = reading, switches, units
        self._settings: tuple[ReportedCombination, ...] = ()
        self.setWindowTitle("All switch settings")
        self.about = words("", "small", "muted", wrap=True)
        self.table = QTableWidget()
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.verticalHeader().hide()
        self.table.setAlternatingRowColors(True)
        self.table.setAccessibleName("Switch settings")
        self.table.setTabKeyNavigation(False)  # Tab leaves the table; arrow keys move in it
        self.table.activated.connect(lambda index: self._take(index.row()))
        close = QPushButton("Close")
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.about, 1)
        foot.addWidget(close)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addLayout(foot)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(100)
        self._calm.timeout.connect(self.refresh)
        reading.changed.connect(self._calm.start)
        self.refresh()
        self.resize(980, 520)

    def set_units(self, units: UnitSystem) -> None:
        """Show foot-candles or lux."""
        self._units = units
        self.refresh()

    def refresh(self) -> None:
        """Fill the table anew."""
        plan, reading = self._reading.plan, self._reading
        self._settings = reported_combinations(plan)
        unit = "fc" if self._units is UnitSystem.US else "lx"
        benches = plan.benches()
        heads = ["setting", f"room\naverage, {unit}", f"room\nminimum, {unit}", "min /\naverage"]
        heads += ["lumens", "watts"]
        heads += [f"{bench.name},\naverage, {unit}" for bench in benches]
        self.table.setColumnCount(len(heads))
        self.table.setHorizontalHeaderLabels(heads)
        self.table.setRowCount(len(self._settings))
        for row, setting in enumerate(self._settings):
            self._fill(row, setting, [bench.id for bench in benches])
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.about.setText(
            f"Light is {reading.kind}. Watts and lumens go with the dimmer's level. "
            "Double-click a line to set the switches so."
        )

    def _fill(self, row: int, setting: ReportedCombination, benches: Sequence[str]) -> None:
        field = self._reading.at(setting.levels)
        lumens, watts = power(self._reading.plan, setting.levels)
        used = [show_lumens(lumens), show_watts(watts)]
        if field is None:
            texts = [setting.name, "–", "–", "–", *used, *("–" for _ in benches)]
        else:
            room, found = field.room, [field.benches.get(bench) for bench in benches]
            even = show_ratio(room.evenness) if room.average > 0.0 else "–"
            texts = [setting.name, self._light(room.average), self._light(room.minimum), even, *used]
            texts += [self._light(figures.average) if figures is not None else "–" for figures in found]
        for column, text in enumerate(texts):
            item = QTableWidgetItem(text)
            if column:
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            self.table.setItem(row, column, item)

    def _light(self, lux: float) -> str:
        value = lux * self._reading.factor / (LUX_PER_FC if self._units is UnitSystem.US else 1.0)
        return f"{value:,.1f}" if value < 9.95 else f"{value:,.0f}"

    def _take(self, row: int) -> None:
        if 0 <= row < len(self._settings):
            setting = self._settings[row]
            self._switches.take(Combination(setting.name, tuple(Level(g, s) for g, s in setting.levels.items())))
