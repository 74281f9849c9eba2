"""The program is killed while it saves: every file can be read, and what is lost is what was drawn last.

The kill is SIGKILL, which no program can catch, at random moments of a child that edits, autosaves and saves without a
pause. What a kill cannot show is a power cut: there the order `fsync` keeps is trusted.
"""

from __future__ import annotations

import os
import queue
import random
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication

from app.unsaved.autosave import DELAY_MS
from app.unsaved.copies import ENDING, left_behind
from core.plan.file import load_plan, save_plan
from core.plan.safe_write import SUFFIX
from tests.core.plan.victim import number_of, numbered

ROOT = Path(__file__).parents[3]
PATIENCE_S = 60.0
MOST_LOST_S = 30.0
MOST_LIVES = 5_000

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")


@dataclass
class Figures:
    """What was counted; ``lost`` holds the age of the oldest lost edit at each kill [s]."""

    kills: int = 0
    saves: int = 0
    copies: int = 0
    half_written: int = 0
    unreadable: int = 0
    from_copy: int = 0
    edits_lost: list[int] = field(default_factory=list)
    lost: list[float] = field(default_factory=list)

    def __str__(self) -> str:
        return (
            f"{self.kills} kills, {self.saves} saves, {self.copies} autosaves; {self.half_written} kills left a "
            f"half-written file beside; unreadable: {self.unreadable}; recovered from the copy: {self.from_copy}; "
            f"lost at most {max(self.edits_lost)} edits, {max(self.lost):.3f} s of work"
        )


class Victim:
    """The program that is killed, again and again."""

    def __init__(self, path: Path, delay_ms: int, saves: float) -> None:
        words = [sys.executable, "-m", "tests.core.plan.victim", str(path), str(delay_ms), str(saves)]
        self._process = subprocess.Popen(
            words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=os.environ
        )
        self._lines: queue.Queue[str] = queue.Queue()
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.put(line)

    def life(self, first: int, seconds: float) -> tuple[float, list[tuple[str, int, float]]]:
        """Let it go on from an edit number, kill it some time after its next; return when, and what it told."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{first}\n")
        self._process.stdin.flush()
        told = [self._next()]
        while told[-1][0] != "E":
            told.append(self._next())
        time.sleep(seconds)
        os.kill(told[0][1], signal.SIGKILL)
        killed = time.monotonic()
        while told[-1][0] != "D":
            told.append(self._next())
        return killed, told

    def _next(self) -> tuple[str, int, float]:
        kind, number, moment = self._lines.get(timeout=PATIENCE_S).split()
        return kind, int(number), float(moment)

    def end(self) -> None:
        """Wait until it has ended by itself."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(PATIENCE_S)
        self._reader.join()
        self._process.stdout.close()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "shop.json"
    save_plan(numbered(0), path)
    return path


def killed_again_and_again(
    path: Path, kills: int, delay_ms: int, saves: float, longest_s: float, seed: int, writes: int = 0
) -> Figures:
    """Kill, look at what is there, go on from it; assert that all of it can be read.

    It goes on until there were so many kills, and so many writes of each kind, however fast the machine is.
    """
    assert QCoreApplication.applicationName()
    chance, figures, newest = random.Random(seed), Figures(), 0
    victim = Victim(path, delay_ms, saves)
    try:
        while figures.kills < kills or min(figures.saves, figures.copies) < writes:
            assert figures.kills < MOST_LIVES, f"it hardly ever writes: {figures}"
            killed, told = victim.life(newest, chance.uniform(0.0, longest_s))
            newest = look_over(path, killed, told, figures)
    finally:
        victim.end()
    return figures


def look_over(path: Path, killed: float, told: list[tuple[str, int, float]], figures: Figures) -> int:
    """Read what a kill left, as the next start does; return the number of the edit that work goes on from."""
    in_file = number_of(load_plan(path))
    there = [entry for entry in path.parent.iterdir() if entry.name.endswith(ENDING)]
    found = left_behind(path)
    figures.unreadable += len(there) - len(found)
    assert figures.unreadable == 0  # all of them readable, none held
    in_copies = [number_of(copy.read().plan) for copy in found]
    newest = max([in_file, *in_copies])
    figures.kills += 1
    figures.from_copy += newest > in_file
    figures.saves += sum(kind == "S" for kind, *_ in told)
    figures.copies += sum(kind == "K" for kind, *_ in told)
    # What was said to be on the disk is on the disk.
    assert newest >= max([number for kind, number, _ in told if kind in "KS"], default=0)
    lost = [(number, moment) for kind, number, moment in told if kind == "E" and number > newest]
    figures.edits_lost.append(len(lost))
    figures.lost.append(killed - lost[0][1] if lost else 0.0)
    halves = [entry for entry in path.parent.iterdir() if entry.name.endswith(SUFFIX)]
    figures.half_written += bool(halves)
    save_plan(numbered(newest), path)
    for copy in found:
        copy.remove()
    for half in halves:
        half.unlink(missing_ok=True)
    assert [entry.name for entry in path.parent.iterdir() if not entry.name.endswith(".lock")] == [path.name]
    return newest


def within_bounds(figures: Figures, delay_ms: int) -> bool:
    """Whether at the program's own delay no more would be lost than may be."""
    return max(figures.lost) - delay_ms / 1000 + DELAY_MS / 1000 < MOST_LOST_S


def test_a_few_kills_leave_nothing_unreadable(path: Path) -> None:
    figures = killed_again_and_again(
        path, kills=12, delay_ms=20, saves=0.05, longest_s=0.12, seed=random.randrange(10**6)
    )
    assert within_bounds(figures, 20)


@pytest.mark.long
@pytest.mark.parametrize(("delay_ms", "saves"), [(0, 0.25), (100, 0.02)])
def test_two_hundred_kills_leave_nothing_unreadable(
    path: Path, delay_ms: int, saves: float, capsys: pytest.CaptureFixture[str]
) -> None:
    seed = random.randrange(10**6)
    figures = killed_again_and_again(path, 200, delay_ms, saves, longest_s=0.5, seed=seed, writes=200)
    with capsys.disabled():
        print(f"\nseed {seed}, autosave after {delay_ms} ms: {figures}")
    assert figures.half_written > 0  # some kills did hit a write
    assert within_bounds(figures, delay_ms)
