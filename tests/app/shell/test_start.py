"""Start and end of the program in a process of its own: exit codes, silence, one line for what is wrong."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app import needs
from app.__main__ import main
from core.plan.file import save_plan
from tests.app.shell.conftest import small_shop
from tests.app.shell.starts import Starts

ROOT = Path(__file__).parents[3]

# Opens the real window, lets it live for a moment, closes it as a user does.
OPEN_AND_CLOSE = """
import sys
from PySide6.QtCore import QTimer
import app.window
shown = app.window.MainWindow.show
def show(self):
    shown(self)
    QTimer.singleShot(int(sys.argv[1]), self.close)
app.window.MainWindow.show = show
from app.__main__ import main
sys.exit(main(sys.argv[2:]))
"""


# Opens the real window and says when it is there.
OPEN_AND_TELL = """
import sys
import app.window
shown = app.window.MainWindow.show
def show(self):
    shown(self)
    print("ready", flush=True)
app.window.MainWindow.show = show
from app.__main__ import main
sys.exit(main([]))
"""


@pytest.fixture(scope="module")
def starts() -> Iterator[Starts]:
    starts = Starts()
    yield starts
    starts.end()


def run(*words: str, code: str | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    start = ["-c", code] if code is not None else ["-m", "app"]
    return subprocess.run(
        [sys.executable, *start, *words],
        cwd=ROOT,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_the_window_opens_and_closes_in_silence() -> None:
    done = run("30", code=OPEN_AND_CLOSE, QT_QPA_PLATFORM="offscreen")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("after_ms", [0, 400])
def test_it_closes_in_silence_whenever_that_is(starts: Starts, tmp_path: Path, after_ms: int) -> None:
    done = starts.run("close", home=tmp_path, after_ms=after_ms)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT to send")
def test_ctrl_c_closes_the_window() -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", OPEN_AND_TELL],
        cwd=ROOT,
        env=os.environ | {"QT_QPA_PLATFORM": "offscreen"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    time.sleep(0.2)  # the window is shown a moment before the event loop runs
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (0, "", "")


def test_report_writes_its_files_without_a_display(tmp_path: Path) -> None:
    shop = small_shop()
    save_plan(replace(shop, fixtures=shop.fixtures[:1], combinations=()), tmp_path / "shop.json")
    done = run("report", str(tmp_path / "shop.json"), "--out", str(tmp_path / "out"), DISPLAY="", WAYLAND_DISPLAY="")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    found = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"summary.json", "shopping-list.csv", "plan.png", "light-all-on.csv"} <= found
    summary = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert summary["plan"] == "Small shop"
    with (tmp_path / "out" / "light-all-on.csv").open(encoding="utf-8", newline="") as file:
        assert next(csv.reader(file)) == ["x_m", "y_m", "fc"]
    assert (tmp_path / "out" / "plan.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["report", "gone.json", "--out", "x"], "gone.json"),
        (["report"], "PLAN.json"),
        (["report", "x.json"], "--out"),
        (["suggested"], "no command"),
        (["--nonsense"], "--nonsense"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(words: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert told in said.err


def test_a_broken_plan_is_named_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "broken.json").write_text('{"candlebench_plan": 1, "plan": {"name": 3', encoding="utf-8")
    assert main(["report", str(tmp_path / "broken.json"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert said.startswith("candlebench: broken.json")
    assert said.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_missing_system_libraries_are_named_with_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("QT_QPA_PLATFORM", "xcb")
    there = {"libGL.so.1", "libxkbcommon.so.0", "libfontconfig.so.1", "libfreetype.so.6", "libdbus-1.so.3"}
    missing = needs.missing_libraries(window=True, loads=lambda name: name in there)
    said = needs.what_to_install(missing)
    assert "libEGL.so.1" in said
    assert "sudo apt-get install -y libegl1 libglib2.0-0 libzstd1 libx11-6 libx11-xcb1 libxcb1 libxcb-cursor0" in said
    assert said.count("libglib2.0-0 ") == 1
    assert "libxcb" not in needs.what_to_install(
        needs.missing_libraries(window=False, loads=lambda name: name in there)
    )


def test_nothing_is_asked_of_other_systems(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert needs.missing_libraries(window=True, loads=lambda _: False) == {}
    assert not needs.no_display()


def test_missing_libraries_stop_the_start_before_qt_is_loaded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("app.__main__.missing_libraries", lambda window: {"libEGL.so.1": "libegl1"})
    assert main([]) == 2
    assert "apt-get install -y libegl1" in capsys.readouterr().err


def test_without_a_screen_the_window_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("app.__main__.no_display", lambda: True)
    assert main([]) == 2
    assert "no screen" in capsys.readouterr().err


def test_the_first_start_shows_a_demo_shop_and_the_next_the_plan_of_last_time(starts: Starts, tmp_path: Path) -> None:
    save_plan(small_shop(), tmp_path / "mine.json")
    first = starts.run("name", home=tmp_path)
    assert first.stdout == "Bicycle-frame garage None None\n"
    asked = starts.run("name", str(tmp_path / "mine.json"), home=tmp_path)
    assert asked.stdout == "Small shop mine.json None\n"
    again = starts.run("name", home=tmp_path)
    assert again.stdout == "Small shop mine.json None\n"
    assert (first.stderr, asked.stderr, again.stderr) == ("", "", "")


def test_a_broken_file_at_the_start_is_named_in_the_window(starts: Starts, tmp_path: Path) -> None:
    (tmp_path / "broken.json").write_text("{", encoding="utf-8")
    done = starts.run("name", str(tmp_path / "broken.json"), home=tmp_path)
    assert done.stdout.startswith("Bicycle-frame garage None broken.json: ")
    assert (done.returncode, done.stderr) == (0, "")


def test_the_first_steps_are_shown_until_they_are_put_away(starts: Starts, tmp_path: Path) -> None:
    said = [starts.run(do, home=tmp_path).stdout.split()[-1] for do in ("put the first steps away", "look")]
    assert said == ["True", "False"]


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")
@pytest.mark.parametrize("in_a_file", [True, False])
def test_after_a_kill_the_next_start_offers_what_was_there(starts: Starts, tmp_path: Path, in_a_file: bool) -> None:
    path = tmp_path / "mine.json"
    save_plan(small_shop(), path)
    given = [str(path)] if in_a_file else []
    died = starts.run("draw and die", *given, home=tmp_path, told="Drawn just now")
    assert died.returncode == -signal.SIGKILL
    again = starts.run("open what is offered", home=tmp_path)
    offered, state = again.stdout.splitlines()
    assert "'Drawn just now'" in offered
    assert state.startswith("Drawn just now True")
    assert (again.returncode, again.stderr) == (0, "")
    once_more = starts.run("look", home=tmp_path)
    assert once_more.stdout.startswith("Small shop False" if in_a_file else "Bicycle-frame garage False")
