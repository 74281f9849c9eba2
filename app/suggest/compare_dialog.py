"""Two plans side by side: pictures with one scale of colours, the difference in light, and a table of what counts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QProgressBar,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.words import words
from app.suggest.picture import PlanPicture
from app.suggest.runner import Runner
from app.theme import Theme
from core.checks.checker import Checker
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.plan import Plan
from core.suggest.compare import ComparedRow, Comparison, compared
from core.units import LUX_PER_FC, UnitSystem, show_illuminance

__all__ = ["CompareDialog"]

_MARKS = {"better": "better", "worse": "worse", "same": "same", "": ""}


class CompareDialog(QDialog):
    """Works the two plans out in the background, light first, then shadows and glare."""

    def __init__(
        self,
        first: tuple[str, Plan],
        second: tuple[str, Plan],
        engine: LightEngine,
        theme: Theme,
        units: UnitSystem,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._theme, self._units = theme, units
        self._plans = first[1], second[1]
        self.setWindowTitle("Compare two plans")
        self.first, self.second, self.map = (PlanPicture(theme, QSize(260, 220)) for _ in range(3))
        self.first.show_plan(first[1], None)
        self.second.show_plan(second[1], None)
        self.map_words = words("", "small", "muted", wrap=True)
        self.table = QTableWidget(0, 5)
        self.table.setHorizontalHeaderLabels(["all on", first[0], second[0], "difference", ""])
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.verticalHeader().hide()
        self.table.setAlternatingRowColors(True)
        self.table.setAccessibleName("Comparison")
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.trouble = words("", tone="warn", wrap=True)
        self.trouble.hide()
        self._lay_out(first[0], second[0])
        self.runner = Runner(self)
        self.runner.progress.connect(lambda share, _what: self.bar.setValue(round(100 * share)))
        self.runner.found.connect(self._show)
        self.runner.done.connect(self._show)
        self.runner.failed.connect(self._complain)
        self.runner.busy_changed.connect(self.bar.setVisible)
        self.finished.connect(lambda _=0: self.runner.shutdown())
        self.resize(960, 720)
        self.runner.start(_job(first[1], second[1], engine))

    def _lay_out(self, first: str, second: str) -> None:
        pictures = QHBoxLayout()
        pictures.setSpacing(16)
        titles = (words(first, strong=True), words(second, strong=True), words("difference", strong=True))
        for title, picture in zip(titles, (self.first, self.second, self.map), strict=True):
            part = QVBoxLayout()
            part.addWidget(title)
            part.addWidget(picture, 1)
            pictures.addLayout(part, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addLayout(pictures, 2)
        column.addWidget(self.map_words)
        column.addWidget(self.bar)
        column.addWidget(self.trouble)
        column.addWidget(self.table, 3)

    def _complain(self, text: str) -> None:
        self.trouble.setText(text)
        self.trouble.show()

    def _show(self, result: tuple[Comparison, Lighting, Lighting]) -> None:
        table, one, two = result
        first, second = self._plans
        self.first.show_plan(first, one)
        self.second.show_plan(second, two)
        if table.difference is not None and table.grid is not None:
            self.map.show_difference(second, table.grid, table.difference, table.largest)
            largest = show_illuminance(table.largest, self._units)
            self.map_words.setText(
                "Both with everything on, in one scale of colours. Difference: coloured where the second has more "
                f"light, grey where it has less; full colour is {largest}."
            )
        else:
            self.map_words.setText("The rooms differ, so there is no difference of light to show.")
        self._fill(table)

    def _fill(self, table: Comparison) -> None:
        self.table.setRowCount(len(table.rows))
        for number, row in enumerate(table.rows):
            texts = [
                row.name,
                self._figure(row, row.first, False),
                self._figure(row, row.second, False),
                self._difference(row),
                _MARKS[row.verdict],
            ]
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if 0 < column < 4:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                if column == 4 and row.verdict in ("better", "worse"):
                    item.setForeground(self._theme.good if row.verdict == "better" else self._theme.warn)
                self.table.setItem(number, column, item)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)

    def _difference(self, row: ComparedRow) -> str:
        """Return the difference of the two figures as they are shown."""
        if row.first is None or row.second is None:
            return "–"
        factor, _, decimals = self._measure(row)
        one, two = (round(value * factor, decimals) for value in (row.first, row.second))
        return self._figure(row, (two - one) / factor, True)

    def _measure(self, row: ComparedRow) -> tuple[float, str, int]:
        """Return what a figure is multiplied by to be shown, its unit and its decimals."""
        if self._units is UnitSystem.METRIC and row.unit == "fc":
            return LUX_PER_FC, "lx", 0
        if self._units is UnitSystem.METRIC and row.unit == "ft":
            return 0.3048, "m", row.decimals
        return 1.0, row.unit, row.decimals

    def _figure(self, row: ComparedRow, value: float | None, signed: bool) -> str:
        if value is None:
            return "–"
        factor, unit, decimals = self._measure(row)
        value *= factor
        value = round(value, decimals) + 0.0  # never -0
        text = f"{value:+,.{decimals}f}" if signed and value else f"{value:,.{decimals}f}"
        return f"{text} {unit}".strip()


def _job(first: Plan, second: Plan, engine: LightEngine) -> Callable[..., Any]:
    def work(
        progress: Callable[[float, str], None], cancelled: Callable[[], bool], found: Callable[[Any], None]
    ) -> tuple[Comparison, Lighting, Lighting]:
        one = engine.solve(first, cancelled=cancelled)
        progress(0.2, "light")
        two = engine.solve(second, cancelled=cancelled)
        progress(0.4, "light")
        found((compared(first, one, second, two), one, two))
        checker = Checker(engine)
        mine = checker.study(first, one, cancelled=cancelled)
        progress(0.7, "shadows and glare")
        other = checker.study(second, two, cancelled=cancelled)
        return compared(first, one, second, two, mine, other), one, two

    return work
