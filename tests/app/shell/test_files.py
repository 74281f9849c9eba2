"""Save, open, broken files, unsaved changes, recent files, files dropped on the window."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from app.files import demo_plan, demo_shops
from app.templates import TEMPLATES
from app.window import MainWindow
from core.plan.file import load_plan, save_plan
from core.plan.outline import outline_problem
from tests.app.shell.conftest import press, small_shop

Button = QMessageBox.StandardButton


def rename(window: MainWindow, name: str) -> None:
    window.document.apply("Rename the shop", replace(window.document.plan, name=name))


def choose_file(monkeypatch: pytest.MonkeyPatch, path: Path | str) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))


def test_save_asks_once_and_then_writes_to_the_same_file(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose_file(monkeypatch, tmp_path / "my shop")
    rename(window, "First")
    assert window.title_row.mark.isVisible()
    assert window.isWindowModified()
    assert window.files.save()
    path = tmp_path / "my shop.json"
    assert load_plan(path) == window.document.plan
    assert not window.title_row.mark.isVisible()
    choose_file(monkeypatch, tmp_path / "elsewhere.json")
    rename(window, "Second")
    assert window.files.save()
    assert load_plan(path).name == "Second"
    assert not (tmp_path / "elsewhere.json").exists()


def test_a_saved_plan_opens_again_just_as_it_was(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    window.files.new("Attic")
    assert window.document.plan.name == "Attic"
    assert window.files.open_path(path)
    assert window.document.plan == small_shop()
    assert window.document.undo_text is None
    assert window.windowTitle().startswith("Small shop (shop.json)")
    assert [p.name for p in window.files.recent] == ["shop.json"]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("{ not json", "not a Candlebench plan"),
        ('{"candlebench_plan": 99, "plan": {}}', ""),
        ("[1, 2, 3]", "not a Candlebench plan"),
        ("", "not a Candlebench plan"),
    ],
)
def test_a_file_that_cannot_be_used_gets_one_message_and_the_open_work_stays(
    window: MainWindow, tmp_path: Path, content: str, told: str
) -> None:
    rename(window, "Work in hand")
    before = window.document.plan
    path = tmp_path / "strange.json"
    path.write_text(content, encoding="utf-8")
    assert not window.files.open_path(path)
    box = window.findChild(QMessageBox)
    assert box is not None
    assert box.isVisible()
    assert "strange.json" in box.text()
    assert told in box.text()
    assert "still open" in box.text()
    assert window.document.plan == before
    assert window.document.undo_text == "Rename the shop"
    box.close()


def test_a_missing_file_is_named(window: MainWindow, tmp_path: Path) -> None:
    assert not window.files.open_path(tmp_path / "gone.json")
    box = window.findChild(QMessageBox)
    assert box is not None
    assert "gone.json" in box.text()
    box.close()


@pytest.mark.parametrize(("answer", "goes"), [(Button.Cancel, False), (Button.Discard, True)])
def test_closing_with_unsaved_changes_asks(window: MainWindow, answer: Button, goes: bool) -> None:
    rename(window, "Changed")
    met = press(answer)
    assert window.close() is goes
    assert len(met) == 1
    assert window.isVisible() is not goes


def test_closing_can_save_first(window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    choose_file(monkeypatch, tmp_path / "kept.json")
    rename(window, "Kept")
    press(Button.Save)
    assert window.close()
    assert load_plan(tmp_path / "kept.json").name == "Kept"


def test_closing_stays_open_if_the_file_dialog_is_left(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    choose_file(monkeypatch, "")
    rename(window, "Kept")
    press(Button.Save)
    assert not window.close()
    assert window.isVisible()


def test_without_changes_closing_asks_nothing(window: MainWindow) -> None:
    rename(window, "Changed")
    window.document.undo()
    assert window.close()


def test_a_folder_that_cannot_be_written_is_said_and_nothing_is_lost(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose_file(monkeypatch, tmp_path / "no such folder" / "shop.json")
    rename(window, "Changed")
    assert not window.files.save()
    box = window.findChild(QMessageBox)
    assert box is not None
    assert "still open" in box.text()
    assert window.document.is_dirty
    box.close()


def test_a_plan_file_dropped_on_the_window_opens(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "dropped.json"
    save_plan(replace(small_shop(), name="Dropped"), path)
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    none, copy, left = Qt.KeyboardModifier.NoModifier, Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    QApplication.sendEvent(window, QDragEnterEvent(QPoint(300, 300), copy, mime, left, none))
    QApplication.sendEvent(window, QDropEvent(QPointF(300, 300), copy, mime, left, none))
    assert window.document.plan.name == "Dropped"


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_blank_room_is_a_room(window: MainWindow, name: str) -> None:
    window.files.new(name)
    plan = window.document.plan
    assert plan.name == name
    assert outline_problem(plan.room.outline) is None
    assert plan.fixtures == ()
    assert not window.document.is_dirty


def test_there_are_demo_shops_and_they_are_marked_as_invented() -> None:
    shops = demo_shops()
    assert len(shops) == 3
    assert all(demo_plan(file_name).invented for file_name in shops.values())


def test_opening_another_plan_starts_with_its_own_switches(window: MainWindow) -> None:
    window.switches.set_level("A", 0.0)
    window.files.open_demo("bicycle_garage.json")
    plan = window.document.plan
    first = plan.combinations[0].shares()
    assert dict(window.switches.levels) == {g.letter: first.get(g.letter, 0.0) for g in plan.groups}
    window.files.new("Garage")
    assert dict(window.switches.levels) == {"A": 1.0}
