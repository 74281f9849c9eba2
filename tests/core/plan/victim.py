"""A program that edits, autosaves and saves as fast as it can, to be killed at any moment.

``python -m tests.core.plan.victim FILE DELAY_MS SAVES`` waits for lines on its input. For each it forks a child that
goes on from the plan in FILE and from the edit number on the line, and saves after a share SAVES of its edits. It tells
on the output, with the monotonic clock [s]: ``P pid`` it is there, ``E n t`` edit n was made, ``K n t`` its copy is on
the disk, ``S n t`` it is in the file. When the child is dead the parent says ``D``.
"""

from __future__ import annotations

import os
import random
import sys
import time
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QTimer

from app.document import Document
from app.unsaved.autosave import AutoSave
from core.plan import Plan
from core.plan.file import load_plan, save_plan
from tests.core.plan.test_file import shop

__all__ = ["number_of", "numbered"]


def numbered(number: int) -> Plan:
    """Return a plan that says how many edits it has seen; its length varies, so that half a file shows."""
    return replace(shop(), name=str(number), about="x" * (number * 37 % 4000))


def number_of(plan: Plan) -> int:
    """Return how many edits a plan has seen; it is whole."""
    number = int(plan.name)
    assert plan == numbered(number)
    return number


def _tell(kind: str, number: int) -> None:
    os.write(1, f"{kind} {number} {time.monotonic()}\n".encode())


def _live(path: Path, first: int, delay_ms: int, saves: float) -> None:
    app = QCoreApplication(["victim"])
    document = Document(load_plan(path))
    autosave = AutoSave(document, app, delay_ms)
    autosave.set_file(path)
    autosave.written.connect(lambda plan: _tell("K", number_of(plan)))
    count = first

    def edit() -> None:
        nonlocal count
        count += 1
        document.apply("Edit", numbered(count))
        _tell("E", count)
        if random.random() < saves:
            save_plan(document.settled_plan, path)
            document.mark_saved(document.settled_plan)
            _tell("S", count)

    timer = QTimer()
    timer.timeout.connect(edit)
    timer.start(2)
    app.exec()


def _main() -> None:
    path, delay_ms, saves = Path(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            random.seed(int(line))
            os.write(1, f"P {os.getpid()} 0\n".encode())
            _live(path, int(line), delay_ms, saves)
            os._exit(0)
        os.waitpid(child, 0)
        os.write(1, b"D 0 0\n")


if __name__ == "__main__":
    _main()
