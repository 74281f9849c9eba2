"""The main window: puts canvas, light, shelf, inspector and wall plate together and passes signals between them."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QHBoxLayout,
    QMainWindow,
    QMenuBar,
    QMessageBox,
    QVBoxLayout,
    QWidget,
)

from app.bringing_in import BringingIn
from app.canvas.canvas import PlanCanvas
from app.ceiling.dialog import CeilingDialog
from app.checks.hook import Checks
from app.collecting import Collecting
from app.dialogs.data_sheet_model import blank_model
from app.dialogs.reading_matter import KEYS, CautionsDialog, KeysDialog
from app.dialogs.settings_table import SettingsTable
from app.dialogs.shopping import ShoppingDialog
from app.document import Document
from app.files import PlanFiles
from app.guard import guarded
from app.light.legend import Legend
from app.light.overlay import Overlay
from app.light.scale import Scale
from app.menus import Menus, wanted_colours
from app.panels.first_steps import FirstSteps
from app.panels.inspector import Inspector
from app.panels.shelf import Shelf
from app.panels.status_line import StatusLine
from app.panels.title_row import TitleRow
from app.panels.tool_row import ToolRow
from app.panels.wall_plate import WallPlate
from app.panels.words import rule, upright
from app.reading import Reading
from app.solver import Solver
from app.style import dress
from app.suggest.hook import SuggestHook
from app.switches import Switches
from app.theme import is_dark, theme
from app.wiring.hook import WiringHook
from core.catalogue import finishes
from core.light.engine import LightEngine
from core.plan import Combination, Level, Plan
from core.units import UnitSystem

__all__ = ["MainWindow"]


class MainWindow(QMainWindow):
    """One window, one document."""

    def __init__(self, plan: Plan, path: Path | None = None, engine: LightEngine | None = None) -> None:
        super().__init__()
        self.theme = theme(is_dark(wanted_colours()))
        self.document = Document(plan, self)
        self.switches = Switches(plan, self)
        self.document.changed.connect(lambda _old, new: self.switches.follow(new))
        engine = engine or LightEngine()
        self.solver = Solver(self.document, engine, self, self.switches)
        self.collecting = Collecting(self.document, self)
        self.reading = Reading(self.document, self.switches, self)
        self.files = PlanFiles(self.document, self, path)
        self._trouble: QMessageBox | None = None
        self.bringing_in = BringingIn(self.document, self)
        self.units = UnitSystem.US
        self._make_parts()
        self.checks = Checks(self, engine)
        self.wiring = WiringHook(self)
        self.layouts = SuggestHook(self, engine)
        self.bar = self.menuBar() if sys.platform == "darwin" else QMenuBar()
        self.menus = Menus(self)
        self._lay_out()
        self._connect()
        self.bringing_in.read_own_catalogue()
        self.take_theme()
        self._plan_changed(plan, plan)
        self._opened()

    def _make_parts(self) -> None:
        self.overlay = Overlay(self.theme, Scale.of(self.document.plan))
        self.canvas = PlanCanvas(self.document, self.switches, self.theme)
        self.canvas.set_overlay(self.overlay)
        self.canvas.set_catalogue(self.bringing_in.model_with)
        self.legend = Legend(self.theme, Scale.of(self.document.plan))
        self.shelf = Shelf(self.theme)
        self.inspector = Inspector(self.document, self.reading, self.theme, [f.finish for f in finishes()])
        self.plate = WallPlate(self.document, self.switches, self.reading, self.theme)
        self.status = StatusLine()

    def _lay_out(self) -> None:
        self.title_row = TitleRow(
            self.document,
            self.menus.undo,
            self.menus.redo,
            (self.menus.table, self.menus.shopping),
            None if sys.platform == "darwin" else self.bar,
        )
        self.tool_row = ToolRow(self.menus.tools, {"select": "Select", "room outline": "Room", "tape measure": "Tape"})
        self.frame = QWidget()
        self.frame.setObjectName("canvas_frame")
        self.drawing = QVBoxLayout(self.frame)
        self.drawing.setContentsMargins(0, 0, 0, 0)
        self.drawing.setSpacing(0)
        self.drawing.addWidget(self.tool_row)
        self.drawing.addWidget(self.canvas, 1)
        self.drawing.addWidget(self.legend)
        middle = QHBoxLayout()
        middle.setSpacing(0)
        for part in (self.shelf, upright()):
            middle.addWidget(part)
        middle.addWidget(self.frame, 1)
        middle.addWidget(upright())
        middle.addWidget(self.inspector)
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.title_row)
        column.addWidget(rule())
        column.addLayout(middle, 1)
        for strip in (rule(), self.plate, rule(), self.status):
            column.addWidget(strip)
        self.setCentralWidget(whole)
        self.setAcceptDrops(True)
        self.setMinimumSize(1040, 640)
        self.resize(1280, 800)
        self.canvas.setFocus()

    def _connect(self) -> None:
        self.document.changed.connect(self._plan_changed)
        self.document.history_changed.connect(self._history_changed)
        self.document.selection_changed.connect(self.menus.follow_selection)
        self.switches.changed.connect(self._show_light)
        self.solver.lighting_changed.connect(self._show_light)
        self.solver.stale_changed.connect(self._stale_changed)
        self.solver.busy_changed.connect(self.status.set_busy)
        self.status.set_busy(self.solver.is_busy)  # the light was asked for before there was a line to show it on
        self.solver.progress.connect(self.status.set_progress)
        self.solver.failed.connect(self.status.say)
        self.status.cancel_wanted.connect(self.solver.stop)
        self.reading.changed.connect(self._scale_changed)
        self.canvas.hint_changed.connect(self.status.set_hint)
        self.canvas.message.connect(self.status.say)
        self.canvas.tool_changed.connect(self.menus.show_tool)
        self.canvas.fields_wanted.connect(self.inspector.enter)
        self.inspector.left.connect(self.canvas.setFocus)
        self.canvas.installEventFilter(self)
        self.bringing_in.models_changed.connect(self.shelf.set_models)
        self.bringing_in.message.connect(self.status.say)
        self.bringing_in.trouble.connect(self.tell)
        self.shelf.wanted.connect(self.bringing_in.place)
        self.shelf.new_wanted.connect(lambda: self.bringing_in.edit_entry(blank_model(), "From a data sheet"))
        self.shelf.edit_wanted.connect(lambda model: self.bringing_in.edit_entry(model, model.name))
        self.inspector.fixture_form.data_sheet_wanted.connect(self.bringing_in.edit_entry_of_plan)
        self.plate.message.connect(self.status.say)
        self.plate.thing_dropped.connect(lambda letter, thing: self.bringing_in.place(thing, letter))
        self.title_row.units_wanted.connect(self.toggle_units)
        self.files.path_changed.connect(self._history_changed)
        self.files.opened.connect(self._opened)
        self.files.failed.connect(self.tell)
        self.files.message.connect(self.status.say)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self.take_theme)
        self.canvas.tell_hint()
        self.status.set_hint(self.canvas.tool.hint())

    # --- light

    def _show_light(self) -> None:
        lighting = self.solver.lighting
        if lighting is None:
            self.overlay.clear()
            self.reading.set_light(None, None)
        else:
            field = self.overlay.show(self.document.plan, lighting, self.switches.levels)
            self.reading.set_light(lighting, field)
        self.canvas.update()

    def _stale_changed(self, stale: bool) -> None:
        self.overlay.stale = stale
        self.canvas.update()

    def _scale_changed(self) -> None:
        shown: Literal["maintained", "initial"] = "maintained" if self.reading.is_maintained else "initial"
        scale = Scale.of(self.document.plan, self.units, shown)
        if scale != self.overlay.scale:
            self.overlay.set_scale(scale)
            self.legend.set_scale(scale)
            self.canvas.update()
        self.menus.maintained.setChecked(self.reading.is_maintained)

    def toggle_maintained(self) -> None:
        """Show light after loss, or initial light."""
        self.reading.set_maintained(not self.reading.is_maintained)

    def switch_all(self, share: float) -> None:
        """Put every switch fully on or off."""
        letters = self.switches.levels
        self.switches.take(Combination("", tuple(Level(letter, share) for letter in letters)))

    # --- plan

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        self.overlay.set_plan(new)
        units = UnitSystem.METRIC if new.units == "metric" else UnitSystem.US
        if units is not self.units or old is new:
            self.units = self.bringing_in.units = units
            self.canvas.set_units(units)
            self.title_row.show_units(units)
            for part in (self.shelf, self.inspector, self.plate.figures):
                part.set_units(units)
        self._scale_changed()
        if old.models is not new.models or old is new:
            self.bringing_in.tell_models()

    def toggle_units(self) -> None:
        """Change between feet and inches and metric; the plan remembers it, and it is no step of undo."""
        other: Literal["US", "metric"] = "US" if self.document.settled_plan.units == "metric" else "metric"
        self.document.restate(lambda plan: replace(plan, units=other))

    def _history_changed(self) -> None:
        self.menus.follow_history()
        path = self.files.path
        name = f"{self.document.settled_plan.name} ({path.name})" if path else self.document.settled_plan.name
        self.setWindowTitle(f"{name}[*] – Candlebench")
        self.setWindowModified(self.document.is_dirty)

    def _opened(self) -> None:
        """Begin a plan with its first kept setting, or with everything on."""
        plan = self.document.plan
        if plan.combinations:
            self.switches.take(plan.combinations[0])
        else:
            self.switch_all(1.0)
        self.canvas.zoom_to_fit()
        self.menus.follow_selection()
        self._history_changed()

    # --- dialogs

    def show_settings_table(self) -> None:
        """Open the table of all switch settings; the window stays usable beside it."""
        dialog = SettingsTable(self.document, self.reading, self.switches, lambda: self.theme, self)
        self._show_beside(dialog)

    def show_shopping_list(self) -> None:
        """Open the shopping list."""
        dialog = ShoppingDialog(self.document, self)
        dialog.list.pointed.connect(self.wiring.point_at)
        dialog.finished.connect(lambda _=0: self.wiring.point_at(()))
        self._show_beside(dialog)

    def show_ceiling_sheet(self) -> None:
        """Open the ceiling sheet."""
        self._show_beside(CeilingDialog(self.document, self.solver, self, self.checks.background))

    def show_keys(self) -> None:
        """Open the list of keys."""
        self._show_beside(KeysDialog(self, (*KEYS, *self.menus.keys())))

    def show_cautions(self) -> None:
        """Open the cautions."""
        self._show_beside(CautionsDialog(self))

    @staticmethod
    def _show_beside(dialog: QDialog) -> None:
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show()

    def tell(self, title: str, text: str) -> None:
        """Show one plain message; while it is open, further ones take its place."""
        if self._trouble is None:
            self._trouble = QMessageBox(self)
            self._trouble.setIcon(QMessageBox.Icon.Warning)
            self._trouble.setTextFormat(Qt.TextFormat.PlainText)
        self._trouble.setWindowTitle(title)
        self._trouble.setText(text)
        self._trouble.open()

    def tell_fault(self, text: str) -> None:
        """Show that something inside failed, and keep what is unsaved at once."""
        self.files.autosave.write_now()
        self.tell("Something went wrong", text)

    def show_first_steps(self) -> None:
        """Show three things to try above the plan."""
        self.first_steps = FirstSteps(self.document, self.switches, self.canvas)
        self.first_steps.gone.connect(self.status.say)
        self.files.opened.connect(self.first_steps.pause)
        self.drawing.insertWidget(1, self.first_steps)
        self.first_steps.show()

    # --- look

    def take_theme(self) -> None:
        """Dress everything as the system, or the user, asks for now."""
        self.theme = theme(is_dark(wanted_colours()))
        app = QApplication.instance()
        if isinstance(app, QApplication):
            dress(app, self.theme)
        for part in (self.canvas, self.overlay, self.legend, self.shelf, self.plate, self.inspector.findings):
            part.set_theme(self.theme)
        self.checks.set_theme(self.theme)
        self.wiring.set_theme(self.theme)
        self.canvas.update()

    def sizeHint(self) -> QSize:
        return QSize(1280, 800)

    # --- events

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Letters are switches, digits kept settings, wherever no text is typed."""
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        key = event.key()
        if Qt.Key.Key_A <= key <= Qt.Key.Key_Z and not event.isAutoRepeat():
            letter = chr(key)
            if held == Qt.KeyboardModifier.ShiftModifier:
                self.plate.put_selection_on(letter)
                return
            if held == Qt.KeyboardModifier.NoModifier and letter in self.switches.levels:
                self.switches.toggle(letter)
                return
        if Qt.Key.Key_1 <= key <= Qt.Key.Key_9 and held == Qt.KeyboardModifier.NoModifier:
            self.plate.kept.take(key - Qt.Key.Key_0)
            return
        super().keyPressEvent(event)

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let a fixture that is dragged from the drawing onto a switch go on that switch."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            letter = self.plate.card_at(event.globalPosition().toPoint())
            if letter is not None and self.canvas.tool.is_busy():
                self.canvas.tool.cancel()
                self.plate.put_selection_on(letter)
                return True
        return super().eventFilter(watched, event)

    @guarded
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if _plan_file(event) is not None:
            event.acceptProposedAction()

    @guarded
    def dropEvent(self, event: QDropEvent) -> None:
        path = _plan_file(event)
        if path is not None:
            event.acceptProposedAction()
            self.files.open_path(path)

    @guarded
    def closeEvent(self, event: QCloseEvent) -> None:
        if self.files.may_leave():
            self.files.finish()
            self.layouts.shutdown()
            self.checks.shutdown()
            self.solver.shutdown()
            event.accept()
        else:
            event.ignore()


def _plan_file(event: QDropEvent) -> Path | None:
    urls = event.mimeData().urls() if event.mimeData().hasUrls() else []
    if len(urls) == 1 and urls[0].isLocalFile():
        return Path(urls[0].toLocalFile())
    return None
