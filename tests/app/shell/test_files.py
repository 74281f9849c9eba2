"""Save, open, broken files, unsaved changes, recent files, files dropped on the window."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QMessageBox

from app.files import demo_plan, demo_shops
from app.saving import WayOut
from app.templates import TEMPLATES
from app.unsaved.copies import data_folder
from app.window import MainWindow
from core.plan.file import load_plan, save_plan
from core.plan.outline import outline_problem
from tests.app.shell.conftest import answer_next, press, small_shop

if sys.platform.startswith("linux"):
    import resource

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


def click(*texts: str) -> list[str]:
    """Click buttons of the next message boxes, one after the other; the list holds what the first says."""
    said: list[str] = []

    def act(dialog: QDialog) -> None:
        assert isinstance(dialog, QMessageBox)
        said.append(f"{dialog.text()} {dialog.informativeText()}")
        if len(texts) > 1:
            said_later.append(click(*texts[1:]))
        QTest.mouseClick(next(b for b in dialog.buttons() if b.text() == texts[0]), Qt.MouseButton.LeftButton)

    said_later: list[list[str]] = []
    answer_next(act)
    return said


def test_a_folder_that_is_gone_is_named_and_the_plan_goes_elsewhere(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    choose_file(monkeypatch, folder / "shop.json")
    rename(window, "First")
    assert window.files.save()
    shutil.rmtree(folder)
    rename(window, "Second")
    said = click(WayOut.NOT_NOW.value)
    assert not window.files.save()
    assert "the folder does not exist (any more)" in said[0]
    assert "still open" in said[0]
    assert window.document.is_dirty
    choose_file(monkeypatch, tmp_path / "elsewhere.json")
    click(WayOut.ELSEWHERE.value)
    assert window.files.save()
    assert load_plan(tmp_path / "elsewhere.json").name == "Second"
    assert window.files.path == tmp_path / "elsewhere.json"
    assert not window.document.is_dirty


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="limits the size of files as Linux does")
def test_a_disk_that_takes_no_more_is_named_and_trying_again_works(window: MainWindow, tmp_path: Path) -> None:
    """A real limit: the kernel refuses to let the file grow, as a full disk does."""
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    window.files.open_path(path)
    rename(window, "Second")
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    def look(dialog: QDialog) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
        assert isinstance(dialog, QMessageBox)
        said.append(dialog.text())
        assert load_plan(path) == small_shop()
        next(b for b in dialog.buttons() if b.text() == WayOut.AGAIN.value).click()

    said: list[str] = []
    answer_next(look)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, limits[1]))
    try:
        assert window.files.save()
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
        signal.signal(signal.SIGXFSZ, ignored)
    assert "takes no file as large" in said[0]
    assert load_plan(path).name == "Second"


@pytest.mark.parametrize(
    ("number", "told"),
    [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "read-only"), (errno.EACCES, "may not write there")],
)
def test_what_the_system_refuses_is_named_and_a_safety_copy_is_kept(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: Any, number: int, told: str
) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    window.files.open_path(path)
    rename(window, "Second")
    real = tempfile.mkstemp

    def refuse(*given: Any, **named: Any) -> Any:
        if Path(named["dir"]) == tmp_path:
            raise OSError(number, os.strerror(number))
        return real(*given, **named)

    monkeypatch.setattr(tempfile, "mkstemp", refuse)
    said = click(WayOut.NOT_NOW.value)
    with qtbot.waitSignal(window.files.autosave.written):
        assert not window.files.save()
    assert told in said[0]
    assert load_plan(path) == small_shop()
    copy = window.files.autosave.copy
    assert copy is not None
    assert copy.path.parent == data_folder()
    assert copy.read().plan.name == "Second"


@pytest.fixture
def ordinary_user() -> Iterator[None]:
    """To the superuser no folder is read-only: act as somebody else meanwhile."""
    before = os.geteuid()
    if before == 0:
        os.seteuid(65534)
    yield
    os.seteuid(before)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="permissions as on Linux")
def test_a_read_only_folder_is_named(window: MainWindow, request: pytest.FixtureRequest) -> None:
    folder = Path(tempfile.mkdtemp())
    path = folder / "shop.json"
    save_plan(small_shop(), path)
    window.files.open_path(path)
    rename(window, "Changed")
    path.chmod(0o666)
    folder.chmod(0o555)
    request.getfixturevalue("ordinary_user")
    said = click(WayOut.NOT_NOW.value)
    assert not window.files.save()
    assert "may not write there. Save it in a folder of yours" in said[0]
    assert window.document.is_dirty
    assert load_plan(path) == small_shop()


@pytest.mark.parametrize("way", [WayOut.BOTH, WayOut.OVER, WayOut.NOT_NOW])
def test_a_file_that_another_program_changed_is_not_written_over_unasked(
    window: MainWindow, tmp_path: Path, way: WayOut
) -> None:
    path, beside = tmp_path / "shop.json", tmp_path / "shop 2.json"
    save_plan(small_shop(), path)
    window.files.open_path(path)
    rename(window, "Mine")
    theirs = replace(small_shop(), name="Theirs")
    save_plan(theirs, path)
    said = click(way.value)
    assert window.files.save() is (way is not WayOut.NOT_NOW)
    assert "shop.json was changed at" in said[0]
    assert "shop 2.json" in said[0]
    assert load_plan(path).name == ("Mine" if way is WayOut.OVER else "Theirs")
    assert beside.exists() is (way is WayOut.BOTH)
    assert window.document.is_dirty is (way is WayOut.NOT_NOW)
    if way is WayOut.BOTH:
        assert load_plan(beside).name == "Mine"
        assert window.files.path == beside
    if way is not WayOut.NOT_NOW:
        rename(window, "Mine again")
        assert window.files.save()  # asks no more


def test_a_file_that_was_only_touched_or_removed_is_saved_without_a_question(
    window: MainWindow, tmp_path: Path
) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    window.files.open_path(path)
    rename(window, "Second")
    os.utime(path, (1.0, 1.0))
    assert window.files.save()
    path.unlink()
    rename(window, "Third")
    assert window.files.save()
    assert load_plan(path).name == "Third"


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
