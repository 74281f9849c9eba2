"""Fit and finish: nothing cut at any scale, every control named and reached by keys, every key in the list."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QAction, QColor, QGuiApplication, QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMenu, QWidget

from app.canvas.steps import NUDGES
from app.canvas.tools import TOOLS
from app.dialogs.data_sheet import DataSheetDialog
from app.dialogs.data_sheet_model import blank_model
from app.dialogs.reading_matter import KEYS, KeysDialog
from app.files import demo_plan
from app.theme import theme
from app.window import MainWindow
from core.units import UnitSystem, parse_length
from tests.app.shell.looking_over import cut_texts, nameless, tipless, unreached

ROOT = Path(__file__).parents[3]
DIALOGS = {
    "settings table": lambda window: window.show_settings_table(),
    "shopping list": lambda window: window.show_shopping_list(),
    "ceiling sheet": lambda window: window.show_ceiling_sheet(),
    "wiring": lambda window: window.wiring.show_dialog(),
    "findings": lambda window: window.checks.show_findings(),
    "light meter": lambda window: window.checks.show_meter(),
    "keys": lambda window: window.show_keys(),
    "cautions": lambda window: window.show_cautions(),
}


@pytest.fixture
def shop(open_window: Callable[..., MainWindow]) -> MainWindow:
    """The demo garage, which has one of everything."""
    window = open_window(demo_plan("bicycle_garage.json"))
    window.show_first_steps()
    return window


def selections(window: MainWindow) -> list[list[str]]:
    plan = window.document.plan
    kinds = (plan.fixtures, plan.furniture, plan.room.openings, plan.room.keep_outs, plan.room.joists)
    return [[], *([things[0].id] for things in kinds if things), [f.id for f in plan.fixtures]]


@pytest.mark.parametrize("scale", ["1", pytest.param("1.5", marks=pytest.mark.long), "2"])
def test_no_text_is_cut(scale: str) -> None:
    words = [sys.executable, "-m", "tests.app.shell.looking_over", "light:1280x800", "dark:1040x640"]
    surroundings = os.environ | {"QT_SCALE_FACTOR": scale, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(words, cwd=ROOT, env=surroundings, capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stdout.strip(), done.stderr) == (0, "", "")


def test_a_cut_text_is_found(shop: MainWindow) -> None:
    shop.title_row.undo.setFixedWidth(20)
    label = shop.first_steps.labels["drag"]
    label.setFixedWidth(30)
    found = cut_texts(shop)
    assert any("Undo" in line for line in found)
    assert any("Drag a fixture" in line for line in found)


def test_every_control_has_a_name_and_every_field_says_what_goes_in(shop: MainWindow) -> None:
    for chosen in selections(shop):
        shop.document.select(chosen)
        QApplication.processEvents()
        assert nameless(shop) == []
        assert tipless(shop) == []


def test_a_control_without_name_or_tip_is_found(shop: MainWindow) -> None:
    shop.plate.new_switch.setAccessibleName("")
    shop.plate.new_switch.setText("")
    shop.inspector.room_form.name.line.setToolTip("")
    assert len(nameless(shop)) == 1
    assert len(tipless(shop)) == 1


def test_tab_comes_to_every_control(shop: MainWindow) -> None:
    for chosen in selections(shop)[:2]:
        shop.canvas.setFocus()
        shop.document.select(chosen)
        QApplication.processEvents()
        lost = [line for line in unreached(shop) if "qt_toolbar" not in line]
        assert lost == []


def test_a_control_that_no_key_reaches_is_found(shop: MainWindow) -> None:
    shop.plate.new_switch.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    assert len(unreached(shop)) == 1


@pytest.mark.parametrize("name", DIALOGS)
def test_dialogs_are_whole_named_and_reached_by_keys(shop: MainWindow, name: str, qtbot) -> None:  # type: ignore[no-untyped-def]
    before = set(QApplication.topLevelWidgets())
    DIALOGS[name](shop)
    dialog = next(w for w in QApplication.topLevelWidgets() if w not in before and w.isVisible())
    look_over(dialog, qtbot)
    dialog.close()


def test_the_data_sheet_is_whole_named_and_reached_by_keys(shop: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    dialog = DataSheetDialog(blank_model(), UnitSystem.US, "From a data sheet", shop)
    dialog.show()
    look_over(dialog, qtbot)
    dialog.close()


def look_over(dialog: QWidget, qtbot) -> None:  # type: ignore[no-untyped-def]
    qtbot.waitExposed(dialog)
    dialog.activateWindow()
    qtbot.wait(50)
    assert cut_texts(dialog) == []
    assert nameless(dialog) == []
    assert tipless(dialog) == []
    assert unreached(dialog) == []


def actions(menu: QMenu) -> list[QAction]:
    found = []
    for action in menu.actions():
        below = action.menu()
        found += actions(below) if isinstance(below, QMenu) else [action]
    return found


def test_the_list_of_keys_has_every_key_of_the_menus_and_no_key_twice(shop: MainWindow) -> None:
    shop.show_keys()
    dialog = next(d for d in shop.findChildren(KeysDialog) if d.isVisible())
    listed = {label.text() for label in dialog.findChildren(QLabel)}
    every = [a for top in shop.bar.actions() if isinstance(top.menu(), QMenu) for a in actions(top.menu())]
    with_key = [
        (a.text(), key.toString(QKeySequence.SequenceFormat.NativeText)) for a in every for key in a.shortcuts()
    ]
    assert len(with_key) >= 20
    shown = " , ".join(listed)
    assert [text for text, key in with_key if key not in shown] == []
    keys = [key for _, key in with_key]
    assert sorted(keys) == sorted(set(keys))
    # Nothing in the window has a key that is in no menu.
    others = [a for a in shop.findChildren(QAction) if a.shortcuts() and a not in every]
    assert [a.text() for a in others] == []
    others = [k.key().toString() for k in shop.findChildren(QShortcut)]
    assert [key for key in others if key and key not in shown] == []
    assert all(does for _, does in KEYS)
    dialog.close()


def test_the_list_of_keys_tells_the_steps_of_a_nudge_in_both_systems() -> None:
    told = re.findall(r"[\d/]+ (?:in|ft|mm)", dict(KEYS)["Arrow keys"])
    steps = [step for both in zip(*(NUDGES[units] for units in UnitSystem), strict=True) for step in both]
    assert [parse_length(each, UnitSystem.US) for each in told] == pytest.approx(steps)


def test_every_menu_opens_by_a_letter_of_its_own(shop: MainWindow) -> None:
    letters = [top.text()[top.text().index("&") + 1].lower() for top in shop.bar.actions()]
    assert len(set(letters)) == len(letters)


def test_every_tool_says_what_it_waits_for(shop: MainWindow) -> None:
    said = set()
    for name in TOOLS:
        shop.menus.tools[name].trigger()
        said.add(shop.status.hint.text())
        assert shop.status.hint.text().endswith(".")
    assert len(said) >= len(TOOLS) - 3  # doors and windows share words, boxes differ by theirs
    QTest.keyClick(shop.canvas, Qt.Key.Key_Escape)
    assert shop.canvas.tool.name == "select"


def ground(window: MainWindow) -> QColor:
    return window.grab().toImage().pixelColor(4, window.height() - 4)


def test_the_window_follows_the_system_between_light_and_dark_while_it_is_open(
    shop: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The platform of the tests has no scheme of its own: the system is played, its signal is the real one."""
    scheme = Qt.ColorScheme.Light

    system = SimpleNamespace(
        instance=QGuiApplication.instance, styleHints=lambda: SimpleNamespace(colorScheme=lambda: scheme)
    )
    monkeypatch.setattr("app.theme.QGuiApplication", system)
    hints = QGuiApplication.styleHints()
    for scheme, dark in ((Qt.ColorScheme.Dark, True), (Qt.ColorScheme.Light, False), (Qt.ColorScheme.Dark, True)):
        hints.colorSchemeChanged.emit(scheme)
        assert shop.theme.dark is dark
        assert ground(shop) == theme(dark).panel
    QSettings().setValue("window/colours", "light")
    shop.take_theme()
    assert ground(shop) == theme(False).panel
    hints.colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert not shop.theme.dark  # the user's own choice wins
