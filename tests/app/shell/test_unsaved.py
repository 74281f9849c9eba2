"""Autosave, and what is offered after the program was killed."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog, QMessageBox

from app.document import Document
from app.unsaved.autosave import DELAY_MS, AutoSave
from app.unsaved.copies import ENDING, Copy, Work, data_folder, left_behind, new_copy
from app.unsaved.offer import Wish, said_about
from app.window import MainWindow
from core.plan import Plan
from core.plan.file import load_plan, plan_to_text, save_plan
from tests.app.shell.conftest import answer_next, small_shop

ROOT = Path(__file__).parents[3]


@pytest.fixture(autouse=True)
def _no_work_of_others() -> None:
    for left in data_folder().glob(".*") if data_folder().exists() else ():
        left.unlink()


def renamed(name: str) -> Plan:
    return replace(small_shop(), name=name)


@pytest.fixture
def kept(qtbot: Any, tmp_path: Path) -> Iterator[Callable[..., tuple[Document, AutoSave]]]:
    """Return what makes a document of a file with an autosave that does not wait."""
    made: list[tuple[Document, AutoSave]] = []

    def make(path: Path | None = tmp_path / "shop.json", delay_ms: int = 0) -> tuple[Document, AutoSave]:
        if path is not None and path.parent.exists() and not path.exists():
            save_plan(small_shop(), path)
        document = Document(small_shop())
        autosave = AutoSave(document, document, delay_ms)
        autosave.set_file(path)
        made.append((document, autosave))
        return document, autosave

    yield make
    for _, autosave in made:
        autosave.finish()


def killed_with(path: Path | None, plan: Plan) -> None:
    """Let another process leave a copy of unsaved work behind and die at once."""
    code = (
        "import os, sys; from pathlib import Path\n"
        "from PySide6.QtCore import QCoreApplication, Qt\n"
        "QCoreApplication.setApplicationName(sys.argv[1])\n"
        "from app.unsaved.copies import new_copy; from core.plan.file import plan_from_text\n"
        "file = Path(sys.argv[2]) if sys.argv[2] else None\n"
        "new_copy(file).write(plan_from_text(sys.stdin.read()), file)\n"
        "os.kill(os.getpid(), 9)\n"
    )
    name = QCoreApplication.applicationName()
    done = subprocess.run(
        [sys.executable, "-c", code, name, str(path or "")], cwd=ROOT, input=plan_to_text(plan), text=True, check=False
    )
    assert done.returncode == -9


def click(text: str) -> list[QDialog]:
    """Click the button with this text in the next message box."""

    def act(dialog: QDialog) -> None:
        assert isinstance(dialog, QMessageBox)
        button = next(b for b in dialog.buttons() if b.text() == text)
        button.click()

    return answer_next(act)


def hidden(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir() if p.name.startswith("."))


def test_a_change_is_on_the_disk_beside_its_file_soon(kept: Any, qtbot: Any, tmp_path: Path) -> None:
    document, autosave = kept()
    with qtbot.waitSignal(autosave.written):
        document.apply("Rename", renamed("Newer"))
    assert autosave.copy.path.parent == tmp_path
    work = autosave.copy.read()
    assert (work.plan.name, work.file) == ("Newer", tmp_path / "shop.json")
    assert load_plan(tmp_path / "shop.json") == small_shop()


def test_the_delay_leaves_room_within_half_a_minute(kept: Any, qtbot: Any) -> None:
    assert DELAY_MS <= 15_000
    document, autosave = kept(delay_ms=DELAY_MS)
    document.apply("Rename", renamed("One"))
    due = autosave._timer.remainingTime()
    qtbot.wait(40)
    document.apply("Rename", renamed("Two"))  # going on drawing does not put it off
    assert 0 < autosave._timer.remainingTime() <= due - 30


def test_nothing_is_written_that_has_not_changed(kept: Any, qtbot: Any) -> None:
    document, autosave = kept()
    writes: list[Plan] = []
    autosave.written.connect(writes.append)
    document.preview(renamed("In a gesture"))
    document.cancel()
    document.select(["bench-1"])
    qtbot.wait(60)
    assert writes == []
    assert autosave.copy is None
    document.apply("Rename", renamed("Newer"))
    qtbot.waitUntil(lambda: len(writes) == 1)
    autosave.write_now()
    qtbot.wait(60)
    assert len(writes) == 1


@pytest.mark.parametrize("way", ["save", "undo", "close"])
def test_the_copy_goes_when_nothing_is_unsaved(kept: Any, qtbot: Any, tmp_path: Path, way: str) -> None:
    document, autosave = kept()
    with qtbot.waitSignal(autosave.written):
        document.apply("Rename", renamed("Newer"))
    assert len(hidden(tmp_path)) == 2  # the copy and its lock
    if way == "save":
        document.mark_saved(document.settled_plan)
    elif way == "undo":
        document.undo()
    else:
        autosave.finish()
    assert hidden(tmp_path) == []


def test_a_plan_without_a_file_is_kept_in_the_data_folder(kept: Any, qtbot: Any) -> None:
    document, autosave = kept(path=None)
    with qtbot.waitSignal(autosave.written):
        document.apply("Rename", renamed("New shop"))
    assert autosave.copy.path.parent == data_folder()
    assert autosave.copy.read().file is None


@pytest.mark.parametrize("call", ["open", "fsync", "replace"])
def test_a_folder_that_takes_nothing_sends_the_copy_to_the_data_folder(
    kept: Any, qtbot: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    document, autosave = kept()
    whole = Copy.write

    def full(self: Copy, plan: Plan, file: Path | None) -> None:
        if self.path.parent == tmp_path:
            monkeypatch.setattr(os, call, fail)
        try:
            whole(self, plan, file)
        finally:
            monkeypatch.setattr(os, call, there)

    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    there = getattr(os, call)
    monkeypatch.setattr(Copy, "write", full)
    with qtbot.waitSignal(autosave.written):
        document.apply("Rename", renamed("Newer"))
    assert autosave.copy.path.parent == data_folder()
    assert hidden(tmp_path) == []
    monkeypatch.undo()
    autosave._copy.leave()
    found = left_behind(tmp_path / "shop.json")
    assert [copy.read().plan.name for copy in found] == ["Newer"]
    autosave._copy = found[0]


def test_a_folder_that_is_gone_sends_the_copy_to_the_data_folder(kept: Any, qtbot: Any, tmp_path: Path) -> None:
    document, autosave = kept(path=tmp_path / "gone" / "shop.json")
    with qtbot.waitSignal(autosave.written):
        document.apply("Rename", renamed("Newer"))
    assert autosave.copy.path.parent == data_folder()


def test_no_place_at_all_is_told_once_and_tried_again(kept: Any, qtbot: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    document, autosave = kept()
    told: list[str] = []
    tries: list[int] = []
    autosave.trouble.connect(told.append)
    real = Copy.write

    def fail(*_: object) -> None:
        tries.append(1)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Copy, "write", fail)
    document.apply("Rename", renamed("Newer"))
    qtbot.waitUntil(lambda: len(tries) > 4)
    assert len(told) == 1
    assert "No space left" in told[0]
    assert "save it soon" in told[0]
    monkeypatch.setattr(Copy, "write", real)
    qtbot.waitSignal(autosave.written).wait()
    assert autosave.copy.read().plan.name == "Newer"


def test_two_programs_on_one_file_have_copies_of_their_own(kept: Any, qtbot: Any, tmp_path: Path) -> None:
    (one, first), (other, second) = kept(), kept()
    for document, autosave, name in ((one, first, "One"), (other, second, "Other")):
        with qtbot.waitSignal(autosave.written):
            document.apply("Rename", renamed(name))
    assert left_behind(tmp_path / "shop.json") == []  # both are held
    assert first.copy.path != second.copy.path
    one.mark_saved(one.settled_plan)
    assert second.copy.read().plan.name == "Other"


def test_what_a_killed_program_left_is_found_and_its_locks_are_swept(tmp_path: Path) -> None:
    path = tmp_path / "a shop with a name that is rather long, as names of shops can be.json"
    save_plan(small_shop(), path)
    killed_with(path, renamed("Left behind"))
    killed_with(tmp_path / "a shop with a name that is rather long, too.json", renamed("Of another file"))
    (tmp_path / f".{path.name[:28]}.0123abcd{ENDING}.lock").write_text("half")  # a lock alone
    found = left_behind(path)
    assert [copy.read().plan.name for copy in found] == ["Left behind"]
    half = tmp_path / f".{found[0].path.name}.abc.saving"
    half.write_text("{")
    found[0].remove()
    assert len([name for name in hidden(tmp_path) if name.endswith(ENDING)]) == 1
    assert not half.exists()
    assert left_behind(path) == []


def test_opening_a_file_offers_what_was_left_and_undo_shows_what_was_saved(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    killed_with(path, renamed("With the new bench"))
    met = click(Wish.OPEN.value)
    assert window.files.open_path(path)
    assert len(met) == 1
    assert window.document.plan.name == "With the new bench"
    assert window.document.is_dirty
    assert window.files.path == path
    window.document.undo()
    assert window.document.plan == small_shop()
    window.document.redo()
    assert window.files.save()
    assert load_plan(path).name == "With the new bench"
    assert hidden(tmp_path) == []


def test_ask_again_next_time_keeps_it_and_throw_away_ends_it(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    killed_with(path, renamed("Unsaved"))
    for answer, left in ((Wish.LATER, 1), (Wish.DROP, 0)):
        met = click(answer.value)
        window.files.open_path(path)
        assert len(met) == 1
        assert window.document.plan == small_shop()
        assert len(hidden(tmp_path)) == left
    window.files.open_path(path)  # asks nothing


def test_esc_throws_nothing_away(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    killed_with(path, renamed("Unsaved"))
    answer_next(lambda dialog: QTest.keyClick(dialog, Qt.Key.Key_Escape))
    window.files.open_path(path)
    assert len(hidden(tmp_path)) == 1


def test_the_start_offers_a_plan_that_had_no_file(window: MainWindow) -> None:
    killed_with(None, renamed("Never saved"))
    met = click(Wish.OPEN.value)
    window.files.offer_unsaved()
    assert len(met) == 1
    assert window.document.plan.name == "Never saved"
    assert window.document.is_dirty
    assert window.files.path is None


def test_a_copy_that_was_saved_in_the_end_is_no_question(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(renamed("Saved"), path)
    killed_with(path, renamed("Saved"))
    assert window.files.open_path(path)
    assert hidden(tmp_path) == []
    assert not window.document.is_dirty


def test_a_broken_file_with_unsaved_work_offers_the_work_and_leaves_the_file(
    window: MainWindow, tmp_path: Path
) -> None:
    path = tmp_path / "shop.json"
    path.write_text("{", encoding="utf-8")
    killed_with(path, renamed("Still whole"))
    click(Wish.OPEN.value)
    assert window.files.open_path(path)
    assert window.document.plan.name == "Still whole"
    assert window.files.path is None  # saving asks for a name
    assert path.read_text(encoding="utf-8") == "{"


def test_both_times_are_said(tmp_path: Path) -> None:
    path = tmp_path / "shop.json"
    save_plan(small_shop(), path)
    os.utime(path, (1_700_000_000, 1_700_000_000))
    saved = datetime.fromtimestamp(1_700_000_000, UTC)
    for later, told in ((timedelta(minutes=29), False), (-timedelta(minutes=1), True)):
        _, said = said_about(Work(renamed("X"), path, saved + later), path)
        assert f"{saved.astimezone():%H:%M:%S}" in said
        assert f"{(saved + later).astimezone():%H:%M:%S}" in said
        assert ("saved after that" in said) is told


def test_an_unreadable_copy_is_left_where_it_is(tmp_path: Path) -> None:
    copy = new_copy(tmp_path / "shop.json")
    copy.path.write_text("no head\n{}")
    copy.leave()
    assert left_behind(tmp_path / "shop.json") == []
    assert copy.path.exists()


def test_only_a_dead_process_loses_its_lock(tmp_path: Path) -> None:
    copy = new_copy(tmp_path / "shop.json")
    copy.write(small_shop(), tmp_path / "shop.json")
    lock = Path(str(copy.path) + ".lock")
    os.utime(lock, (1.0, 1.0))
    assert left_behind(tmp_path / "shop.json") == []
    copy.leave()
    found = left_behind(tmp_path / "shop.json")
    assert [each.path for each in found] == [copy.path]
    found[0].remove()
