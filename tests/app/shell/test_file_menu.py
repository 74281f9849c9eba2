"""The File and Edit menus by real keys and clicks: new, open, recent, save, save as, undo by name, a file dropped."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMenu, QMessageBox, QWidget

from app.templates import TEMPLATES
from app.window import MainWindow
from core.plan import Plan
from core.plan.file import load_plan, save_plan
from tests.app.shell.conftest import press, small_shop

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def renamed(name: str) -> Plan:
    return replace(small_shop(), name=name)


def menu_of(window: MainWindow, *path: str) -> QMenu:
    """Return a menu by the texts on the way to it, opened as a click does."""
    menu: QMenu | None = None
    actions = window.bar.actions()
    for text in path:
        found = next(action for action in actions if plain(action) == text)
        menu = found.menu()  # type: ignore[assignment]
        assert isinstance(menu, QMenu)
        menu.popup(window.mapToGlobal(QPoint(50, 50)))
        actions = menu.actions()
    assert menu is not None
    return menu


def plain(action: QAction) -> str:
    return action.text().replace("&", "").replace("…", "")


def click(window: MainWindow, *path: str) -> None:
    """Open the menus on the way and click the last entry."""
    menu = menu_of(window, *path[:-1])
    action = next(action for action in menu.actions() if plain(action).startswith(path[-1]))
    assert action.isEnabled()
    QTest.mouseClick(menu, Qt.MouseButton.LeftButton, pos=menu.actionGeometry(action).center())
    close_menus()


def close_menus() -> None:
    while (menu := QApplication.activePopupWidget()) is not None:
        menu.close()


@pytest.fixture
def answer_files(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The files that the next file dialogs return, one after the other."""
    names: list[Path] = []
    for call in ("getSaveFileName", "getOpenFileName"):
        monkeypatch.setattr(QFileDialog, call, lambda *_: (str(names.pop(0)), ""))
    return names


@pytest.mark.parametrize("name", ["Garage", "Basement", "Barn", "Attic"])
def test_new_begins_with_a_template(window: MainWindow, name: str) -> None:
    assert name in TEMPLATES
    click(window, "File", "New", name)
    assert window.document.plan.name == name
    assert window.files.path is None
    assert not window.isWindowModified()


def test_recent_files_are_offered_newest_first_and_open_by_a_click(window: MainWindow, tmp_path: Path) -> None:
    assert not menu_of(window, "File", "Open recent").actions()[0].isEnabled()
    close_menus()
    for name in ("one", "two", "three"):
        save_plan(renamed(name.capitalize()), tmp_path / f"{name}.json")
        window.files.open_path(tmp_path / f"{name}.json")
    (tmp_path / "two.json").unlink()
    offered = [plain(action).split()[0] for action in menu_of(window, "File", "Open recent").actions()]
    close_menus()
    assert offered == ["three", "one"]
    click(window, "File", "Open recent", "one")
    assert window.document.plan.name == "One"
    assert [path.stem for path in window.files.recent] == ["one", "three"]


def test_save_and_save_as_by_keys_and_the_unsaved_mark(
    window: MainWindow, tmp_path: Path, answer_files: list[Path]
) -> None:
    window.document.apply("Rename", renamed("Mine"))
    assert window.isWindowModified()
    assert window.windowTitle() == "Mine[*] – Candlebench"
    assert window.title_row.mark.isVisible()
    answer_files += [tmp_path / "first.json", tmp_path / "second.json"]
    QTest.keyClick(window.canvas, Qt.Key.Key_S, CTRL)
    assert not window.isWindowModified()
    assert not window.title_row.mark.isVisible()
    assert window.windowTitle() == "Mine (first.json)[*] – Candlebench"
    window.document.apply("Rename", renamed("Mine again"))
    QTest.keyClick(window.canvas, Qt.Key.Key_S, CTRL | SHIFT)
    assert window.files.path == tmp_path / "second.json"
    assert (load_plan(tmp_path / "first.json").name, load_plan(tmp_path / "second.json").name) == ("Mine", "Mine again")
    window.document.apply("Rename", renamed("Third"))
    QTest.keyClick(window.canvas, Qt.Key.Key_S, CTRL)  # asks no more
    assert load_plan(tmp_path / "second.json").name == "Third"


def test_open_by_key(window: MainWindow, tmp_path: Path, answer_files: list[Path]) -> None:
    save_plan(renamed("Opened"), tmp_path / "shop.json")
    answer_files.append(tmp_path / "shop.json")
    QTest.keyClick(window.canvas, Qt.Key.Key_O, CTRL)
    assert window.document.plan.name == "Opened"


def test_undo_and_redo_are_named_in_the_menu_and_worked_by_keys_and_clicks(window: MainWindow) -> None:
    first = window.document.plan
    window.bringing_in.place({"what": "bench"})
    assert "Undo: Add bench" in [plain(action) for action in menu_of(window, "Edit").actions()]
    close_menus()
    QTest.keyClick(window.canvas, Qt.Key.Key_Z, CTRL)
    assert window.document.plan == first
    assert not window.isWindowModified()
    click(window, "Edit", "Redo: Add bench")
    assert len(window.document.plan.furniture) == len(first.furniture) + 1
    click(window, "Edit", "Undo: Add bench")
    assert window.document.plan == first


def dropped_on(widget: QWidget, path: Path) -> None:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    none, copy, left = Qt.KeyboardModifier.NoModifier, Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    middle = widget.rect().center()
    enter = QDragEnterEvent(middle, copy, mime, left, none)
    QApplication.sendEvent(widget, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(widget, QDropEvent(QPointF(middle), copy, mime, left, none))


@pytest.mark.parametrize("where", ["canvas", "shelf", "plate", "inspector"])
def test_a_file_dropped_anywhere_on_the_window_opens(window: MainWindow, tmp_path: Path, where: str) -> None:
    save_plan(renamed("Dropped"), tmp_path / "dropped.json")
    dropped_on(getattr(window, where), tmp_path / "dropped.json")
    assert window.document.plan.name == "Dropped"
    assert window.files.path == tmp_path / "dropped.json"


def test_a_file_dropped_on_unsaved_work_asks_first(window: MainWindow, tmp_path: Path) -> None:
    save_plan(renamed("Dropped"), tmp_path / "dropped.json")
    window.document.apply("Rename", renamed("Mine"))
    met = press(QMessageBox.StandardButton.Cancel)
    dropped_on(window, tmp_path / "dropped.json")
    assert len(met) == 1
    assert window.document.plan.name == "Mine"
