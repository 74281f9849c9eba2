"""Every switch setting in one table: a small picture, light of the room and of each bench, evenness, watts, cost.

With many groups it shows everything on, the kept settings and those that were asked for, and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QIcon, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QInputDialog,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.combinations.pictures import PICTURE_SIZE, SettingPictures
from app.combinations.question import LeastQuestion
from app.document import Document
from app.panels.words import words
from app.reading import Reading, power
from app.switches import Switches
from app.theme import Theme
from core.combinations import MOST_GROUPS_FOR_TABLE, Least, Setting, table_settings
from core.plan import Combination, Level, Plan
from core.plan.edits import with_combination
from core.shopping import hourly_cost
from core.units import LUX_PER_FC, UnitSystem, show_lumens, show_ratio, show_watts

__all__ = ["SettingsTable"]

_MOST_ASKED = 20


class SettingsTable(QDialog):
    """Follows the light while it is open; a double click, or Enter, sets the switches."""

    def __init__(
        self, document: Document, reading: Reading, switches: Switches, theme: Callable[[], Theme], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._document, self._reading, self._switches, self._theme = document, reading, switches, theme
        self._units = UnitSystem.US
        self._settings: tuple[Setting, ...] = ()
        self._asked: list[Mapping[str, float]] = []
        self.setWindowTitle("All switch settings")
        self.question = LeastQuestion(reading, self._units)
        self.question.answered.connect(self._answered)
        self.about = words("", "small", "muted", wrap=True)
        self.table = QTableWidget()
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(PICTURE_SIZE.height() + 6)
        self.table.setIconSize(PICTURE_SIZE)
        self.table.setAlternatingRowColors(True)
        self.table.setAccessibleName("Switch settings")
        self.table.setTabKeyNavigation(False)  # Tab leaves the table; arrow keys move in it
        self.table.activated.connect(lambda index: self._take(index.row()))
        self.table.itemSelectionChanged.connect(self._selected)
        self._lay_out()
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(100)
        self._calm.timeout.connect(self.refresh)
        reading.changed.connect(self._calm.start)
        self.finished.connect(self.question.shutdown)
        self.refresh()
        self.resize(1040, 640)

    def _lay_out(self) -> None:
        self.set_switches = self._button("Set the switches so", lambda: self._take(self.table.currentRow()))
        self.keep = self._button("Keep it…", self.keep_selected)
        self.keep.setToolTip("Give the selected setting a name and a digit on the wall plate")
        self.show_present = self._button("Show the present setting", self.ask_for_present)
        self.show_present.setToolTip("Put the setting of the wall plate into the table")
        close = self._button("Close", self.close)
        foot = QHBoxLayout()
        foot.addWidget(self.about, 1)
        for button in (self.show_present, self.keep, self.set_switches, close):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        column.addWidget(self.question)
        column.addWidget(self.table, 1)
        column.addLayout(foot)

    def _button(self, text: str, do: Callable[[], object]) -> QPushButton:
        button = QPushButton(text)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: do())
        return button

    def refresh(self) -> None:
        """Fill the table anew."""
        plan = self._reading.plan
        units = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
        if units is not self._units:
            self._units = units
            self.question.set_units(units)
        self.question.refresh()
        chosen = self._current()
        self._settings = table_settings(plan, self._asked)
        unit = "fc" if self._units is UnitSystem.US else "lx"
        benches = plan.benches()
        heads = ["setting", f"room\naverage, {unit}", f"room\nminimum, {unit}", "min /\naverage"]
        heads += ["lumens", "watts", f"{plan.buying.currency}\nan hour"]
        heads += [f"{bench.name},\naverage, {unit}" for bench in benches]
        self.table.setColumnCount(len(heads))
        self.table.setHorizontalHeaderLabels(heads)
        self.table.setRowCount(len(self._settings))
        pictures = self._pictures(plan)
        for row, setting in enumerate(self._settings):
            self._fill(row, setting, [bench.id for bench in benches], pictures)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self._select(chosen)
        self.about.setText(self._about(plan))
        self._selected()

    def _about(self, plan: Plan) -> str:
        text = f"Light is {self._reading.kind}. Watts and lumens go with the dimmer's level."
        count = len(plan.groups)
        if count > MOST_GROUPS_FOR_TABLE:
            return (
                f"{count} switches have {2**count:,} settings: shown are everything on, the kept ones and those that"
                f" you ask for. {text}"
            )
        return f"{text} Double-click a line to set the switches so."

    def _pictures(self, plan: Plan) -> SettingPictures | None:
        lighting = self._reading.lighting
        if lighting is None:
            return None
        return SettingPictures(plan, lighting, self._theme(), self.devicePixelRatioF())

    def _fill(self, row: int, setting: Setting, benches: Sequence[str], pictures: SettingPictures | None) -> None:
        plan, field = self._reading.plan, self._reading.at(setting.levels)
        lumens, watts = power(plan, setting.levels)
        name = f"{setting.digit}  {setting.name}" if 0 < setting.digit < 10 else setting.name
        used = [show_lumens(lumens), show_watts(watts), f"{hourly_cost(plan, watts):.3f}"]
        if field is None:
            texts = [name, "–", "–", "–", *used, *("–" for _ in benches)]
        else:
            room, found = field.room, [field.benches.get(bench) for bench in benches]
            even = show_ratio(room.evenness) if room.average > 0.0 else "–"
            texts = [name, self._light(room.average), self._light(room.minimum), even, *used]
            texts += [self._light(figures.average) if figures is not None else "–" for figures in found]
        for column, text in enumerate(texts):
            item = QTableWidgetItem(text)
            if column:
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            elif pictures is not None and field is not None:
                item.setIcon(_untinted(pictures.of(field, setting.levels, self._reading.factor)))
            self.table.setItem(row, column, item)

    def _light(self, lux: float) -> str:
        value = lux * self._reading.factor / (LUX_PER_FC if self._units is UnitSystem.US else 1.0)
        return f"{value:,.1f}" if value < 9.95 else f"{value:,.0f}"

    # --- asking, keeping, setting

    def ask_for(self, levels: Mapping[str, float]) -> None:
        """Show a setting in the table and select it."""
        asked = {group.letter: levels.get(group.letter, 0.0) for group in self._reading.plan.groups}
        if asked not in self._asked:
            self._asked = [*self._asked, asked][-_MOST_ASKED:]
        self.refresh()
        self._select(asked)

    def ask_for_present(self) -> None:
        """Show the wall plate's setting."""
        self.ask_for(self._switches.levels)

    def keep_selected(self) -> None:
        """Ask for a name and keep the selected setting under it."""
        levels = self._current()
        if levels is None:
            return
        name, fine = QInputDialog.getText(self, "Keep this setting", "What do you do in this light?")
        if fine and name.strip():
            kept = _combination(name.strip(), levels)
            self._document.apply(f"Keep setting '{kept.name}'", with_combination(self._document.settled_plan, kept))
            self.refresh()
            self._select(levels)

    def _answered(self, found: Least) -> None:
        self.ask_for(found.levels)

    def _current(self) -> Mapping[str, float] | None:
        row = self.table.currentRow()
        return self._settings[row].levels if 0 <= row < len(self._settings) else None

    def _select(self, levels: Mapping[str, float] | None) -> None:
        row = next((n for n, setting in enumerate(self._settings) if setting.levels == levels), None)
        if row is not None and (row != self.table.currentRow() or not self.table.selectedItems()):
            self.table.setCurrentCell(row, 0)
            self.table.scrollTo(self.table.model().index(row, 0))

    def _selected(self) -> None:
        for button in (self.keep, self.set_switches):
            button.setEnabled(self._current() is not None)

    def _take(self, row: int) -> None:
        if 0 <= row < len(self._settings):
            setting = self._settings[row]
            self._switches.take(_combination(setting.name, setting.levels))


def _untinted(pixmap: QPixmap) -> QIcon:
    """Return an icon whose colours stay as they are in a selected line: they mean foot-candles."""
    icon = QIcon(pixmap)
    icon.addPixmap(pixmap, QIcon.Mode.Selected)
    return icon


def _combination(name: str, levels: Mapping[str, float]) -> Combination:
    return Combination(name, tuple(Level(letter, share) for letter, share in levels.items() if share > 0.0))
