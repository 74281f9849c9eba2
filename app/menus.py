"""The menus: every command by name, with its key; each is enabled only where it applies."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from app.canvas import commands
from app.canvas.arranging import Command, arrange_commands
from app.canvas.tools import TOOLS
from app.files import demo_shops
from app.templates import TEMPLATES

if TYPE_CHECKING:
    from app.window import MainWindow

__all__ = ["Menus", "wanted_colours"]

_COLOURS = "window/colours"
_SCHEMES = {"system": "As the system", "light": "Light", "dark": "Dark"}
_TOOL_TEXTS = {"select": "Select and move", "room outline": "Outline of the room"}
_Key = QKeySequence.StandardKey


def wanted_colours() -> str:
    """Return which colours the user has asked for: 'system', 'light' or 'dark'."""
    return str(QSettings().value(_COLOURS, "system"))


class Menus:
    """Builds the window's menu bar and keeps the actions that others need."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        self.tools: dict[str, QAction] = {}
        self._arranging: list[tuple[QAction, Command]] = []
        self._file_menu()
        self._edit_menu()
        self._draw_menu()
        self._arrange_menu()
        self._view_menu()
        self._light_menu()
        self._lists_menu()
        self._checks_menu()
        self._help_menu()

    def follow_history(self) -> None:
        """Name undo and redo after what they would do."""
        document = self._window.document
        for action, word, text in ((self.undo, "Undo", document.undo_text), (self.redo, "Redo", document.redo_text)):
            action.setEnabled(text is not None)
            action.setText(f"{word}: {text}" if text is not None else word)
            action.setIconText(word)
            action.setToolTip(
                f"{word}: {text} ({action.shortcut().toString()})" if text else f"Nothing to {word.lower()}"
            )

    def follow_selection(self) -> None:
        """Enable what needs a selection."""
        chosen = self._window.document.selection
        has_fixture = any(f.id in chosen for f in self._window.document.plan.fixtures)
        for action in self._need_selection:
            action.setEnabled(bool(chosen))
        for action in self._need_fixture:
            action.setEnabled(has_fixture)
        for action, command in self._arranging:
            action.setEnabled(command.applies())

    def keys(self) -> tuple[tuple[str, str], ...]:
        """Return every key of the menus with the menu and the name of what it does."""
        found: list[tuple[str, str]] = []
        for top in self._window.bar.actions():
            menu = top.menu()
            if isinstance(menu, QMenu):
                found += [(key, f"{_plain(top.text())}: {text}") for key, text in _keys_of(menu)]
        return tuple(found)

    def _add(
        self,
        menu: QMenu,
        text: str,
        do: Callable[[], object],
        key: QKeySequence.StandardKey | str | None = None,
        tip: str = "",
    ) -> QAction:
        action = menu.addAction(text)
        action.triggered.connect(lambda _=False: do())
        if key is not None:
            action.setShortcut(QKeySequence(key))
        if tip:
            action.setToolTip(tip)
        return action

    def _file_menu(self) -> None:
        window, files = self._window, self._window.files
        menu = window.bar.addMenu("&File")
        new = menu.addMenu("&New")
        for name in TEMPLATES:
            self._add(new, name, partial(files.new, name))
        self._add(menu, "&Open…", files.open_dialog, _Key.Open)
        demos = menu.addMenu("Open a &demo shop")
        demos.aboutToShow.connect(lambda: self._fill_demos(demos))
        recent = menu.addMenu("Open &recent")
        recent.aboutToShow.connect(lambda: self._fill_recent(recent))
        menu.addSeparator()
        self._add(menu, "&Save", files.save, _Key.Save)
        self._add(menu, "Save &as…", files.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "&Quit", window.close, "Ctrl+Q")

    def _fill_demos(self, menu: QMenu) -> None:
        menu.clear()
        for name, file_name in demo_shops().items():
            self._add(menu, name, partial(self._window.files.open_demo, file_name))

    def _fill_recent(self, menu: QMenu) -> None:
        menu.clear()
        paths = self._window.files.recent
        for path in paths:
            self._add(menu, f"{path.stem}  ({path.parent})", partial(self._window.files.open_path, path))
        if not paths:
            menu.addAction("No plan was saved or opened yet").setEnabled(False)

    def _edit_menu(self) -> None:
        window = self._window
        document = window.document
        menu = window.bar.addMenu("&Edit")
        self.undo = self._add(menu, "Undo", document.undo, _Key.Undo)
        self.redo = self._add(menu, "Redo", document.redo, _Key.Redo)
        menu.addSeparator()
        duplicate = self._add(menu, "D&uplicate", lambda: commands.duplicate(document), "Ctrl+D")
        turn = self._add(menu, "&Turn by 90°\tR", lambda: commands.turn(document, 90.0))
        delete = self._add(menu, "&Delete", lambda: commands.delete(document), _Key.Delete)
        menu.addSeparator()
        self._add(menu, "Select &all", lambda: commands.select_all(document), _Key.SelectAll)
        like = self._add(menu, "Select all of this &model", lambda: commands.select_all_of_model(document))
        same = self._add(menu, "Select all on this &switch", lambda: commands.select_all_of_group(document))
        kind = self._add(menu, "Select all of this &kind", lambda: commands.select_all_of_kind(document))
        self._need_selection = (duplicate, turn, delete, kind)
        self._need_fixture = (like, same)
        menu.addSeparator()
        self.units = self._add(menu, "Metric or feet and inches", window.toggle_units, "Ctrl+U")

    def _draw_menu(self) -> None:
        menu = self._window.bar.addMenu("&Draw")
        group = QActionGroup(menu)
        for name in TOOLS:
            text = _TOOL_TEXTS.get(name, name.capitalize())
            action = self._add(menu, text, partial(self._window.canvas.set_tool, name))
            action.setCheckable(True)
            action.setChecked(name == "select")
            group.addAction(action)
            self.tools[name] = action

    def _arrange_menu(self) -> None:
        menu = self._window.bar.addMenu("&Arrange")
        for group in arrange_commands(self._window.canvas):
            for command in group:
                self._arranging.append((self._add(menu, command.text, command.do, command.key or None), command))
            menu.addSeparator()

    def show_tool(self, name: str) -> None:
        """Mark the tool in use."""
        if name in self.tools:
            self.tools[name].setChecked(True)

    def _view_menu(self) -> None:
        canvas = self._window.canvas
        menu = self._window.bar.addMenu("&View")
        self._add(menu, "Whole &room\tHome", canvas.zoom_to_fit)
        self._add(menu, "&Selection\tShift+Home", canvas.zoom_to_selection)
        self._add(menu, "Zoom &in", lambda: canvas.zoom_by(1.25), _Key.ZoomIn)
        self._add(menu, "Zoom &out", lambda: canvas.zoom_by(0.8), _Key.ZoomOut)
        menu.addSeparator()
        colours = menu.addMenu("&Colours")
        group = QActionGroup(colours)
        now = wanted_colours()
        for name, text in _SCHEMES.items():
            action = self._add(colours, text, partial(self._choose_scheme, name))
            action.setCheckable(True)
            action.setChecked(name == now)
            group.addAction(action)

    def _choose_scheme(self, name: str) -> None:
        QSettings().setValue(_COLOURS, name)
        self._window.take_theme()

    def _light_menu(self) -> None:
        window = self._window
        menu = window.bar.addMenu("&Light")
        self._add(menu, "All switches &on", lambda: window.switch_all(1.0))
        self._add(menu, "All switches o&ff", lambda: window.switch_all(0.0))
        menu.addSeparator()
        self._add(menu, "&New switch", window.plate.add_group)
        self._add(menu, "&Keep this setting…", window.plate.kept.keep_present, "Ctrl+K")
        self.table = self._add(
            menu, "&All switch settings…", window.show_settings_table, "Ctrl+T", "Every switch setting in one table"
        )
        menu.addSeparator()
        self.maintained = self._add(menu, "Show &maintained light", window.toggle_maintained, "Ctrl+M")
        self.maintained.setCheckable(True)
        menu.addSeparator()
        layouts = window.layouts
        self._add(menu, "&Place them for me…", layouts.show_dialog, "Ctrl+J", "Where fixtures go, and how few will do")
        tip = "Copy the layout, name it, switch between layouts, compare two"
        self._add(menu, "La&youts of this shop…", layouts.show_layouts, "Ctrl+B", tip)
        self._add(menu, "&Compare with another plan…", layouts.compare_with_file)

    def _lists_menu(self) -> None:
        menu = self._window.bar.addMenu("Li&sts")
        self.shopping = self._add(
            menu, "&Shopping list…", self._window.show_shopping_list, "Ctrl+L", "What to buy, and what it costs"
        )
        tip = "Box centres from two walls, chalk lines, order of work, templates; to print"
        self.ceiling = self._add(menu, "&Ceiling sheet…", self._window.show_ceiling_sheet, "Ctrl+P", tip)
        menu.addSeparator()
        wiring = self._window.wiring
        self._add(menu, "&Wiring…", wiring.show_dialog, "Ctrl+E", "Circuits, switches, cable and boxes")
        shown = self._add(menu, "Cable on the &plan", lambda: wiring.show_cable(shown.isChecked()), "Ctrl+Shift+E")
        shown.setCheckable(True)
        shown.setChecked(wiring.is_cable_shown)

    def _checks_menu(self) -> None:
        checks = self._window.checks
        menu = self._window.bar.addMenu("&Checks")
        self._add(menu, "&All findings…", checks.show_findings, "Ctrl+G", "Every finding, with pictures of the benches")
        self._add(menu, "Light &meter…", checks.show_meter, "Ctrl+R", "Readings, a walk sheet, and calibration")
        menu.addSeparator()
        self._add(menu, "Place an &eye", checks.place_eye, None, "Two clicks: where it is, what it looks at; for glare")
        self._add(menu, "Place a &camera", checks.place_camera, None, "Two clicks: the camera, the person")
        self._add(menu, "E&yes and cameras…", checks.show_places, None, "Where each is, where it looks")
        self._add(menu, "&Remove eyes and cameras", checks.clear_places)
        menu.addSeparator()
        self._add(menu, "Limits and &worker…", checks.show_limits, None, "CRI, glare, body shadow; height, hand, pose")

    def _help_menu(self) -> None:
        window = self._window
        menu = window.bar.addMenu("&Help")
        self._add(menu, "&Keys", window.show_keys, _Key.HelpContents)
        self._add(menu, "&Cautions", window.show_cautions)


def _keys_of(menu: QMenu) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for action in menu.actions():
        below = action.menu()
        text, _, shown = action.text().partition("\t")
        key = ", ".join(each.toString(QKeySequence.SequenceFormat.NativeText) for each in action.shortcuts()) or shown
        if isinstance(below, QMenu):
            found += _keys_of(below)
        elif key:
            found.append((key, _plain(text)))
    return found


def _plain(text: str) -> str:
    return text.replace("&", "").replace("…", "")
