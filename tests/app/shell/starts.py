"""The real program, started again and again in processes of their own, without loading Qt and all of it every time.

``Starts`` keeps one process that has everything loaded and forks it for each start: what is forked has no application,
no window and no settings yet, takes its surroundings from the test, and ends as any program does. Where there is no
fork, each start is a process from the beginning. What a start does is one of `ACTS`, worked with the real window.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

__all__ = ["ACTS", "Starts"]

ROOT = Path(__file__).parents[3]
_CALM_MS = 100  # from the shown window to the act
_PATIENCE_S = 120.0

Window = Any
Act = Callable[[Window, str], None]


class Starts:
    """Starts the program; `run` waits for its end."""

    def __init__(self) -> None:
        self._server: subprocess.Popen[str] | None = None

    def run(
        self, act: str, *words: str, home: Path, told: str = "", after_ms: int = _CALM_MS
    ) -> subprocess.CompletedProcess[str]:
        """Start with these words on the command line and with settings of its own, and do one of `ACTS`."""
        asked = {
            "act": act,
            "told": told,
            "after_ms": after_ms,
            "words": words,
            "env": {f"XDG_{name}_HOME": str(home / name) for name in ("CONFIG", "DATA", "CACHE")},
            "out": str(home / "out.txt"),
            "err": str(home / "err.txt"),
        }
        code = self._forked(asked) if hasattr(os, "fork") else self._from_the_beginning(asked)
        said = [Path(str(asked[name])).read_text(encoding="utf-8") for name in ("out", "err")]
        return subprocess.CompletedProcess(words, code, *said)

    def end(self) -> None:
        """Let the process that is forked go."""
        if self._server is not None:
            self._server.communicate(timeout=_PATIENCE_S)

    def _forked(self, asked: Mapping[str, Any]) -> int:
        if self._server is None:
            self._server = _process(stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        print(json.dumps(asked), file=self._server.stdin, flush=True)
        return int(self._server.stdout.readline())

    @staticmethod
    def _from_the_beginning(asked: Mapping[str, Any]) -> int:
        process = _process(stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        process.communicate(json.dumps(asked) + "\n", timeout=_PATIENCE_S)
        return process.returncode


def _process(**pipes: int) -> subprocess.Popen[str]:
    surroundings = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    return subprocess.Popen([sys.executable, "-m", __name__], cwd=ROOT, env=surroundings, text=True, **pipes)  # type: ignore[call-overload, no-any-return]


# What is done with the window.


def _close(window: Window, told: str) -> None:
    window.close()


def _name(window: Window, told: str) -> None:
    """Print which plan is shown, from which file, and the message over it."""
    box = window._trouble
    path = window.files.path
    print(window.document.plan.name, path and path.name, box and box.text().splitlines()[0])
    window.close()


def _look(window: Window, told: str) -> None:
    """Print which plan is shown, whether it is edited, whether the first steps are shown."""
    steps = getattr(window, "first_steps", None)
    print(window.document.plan.name, window.document.is_dirty, steps is not None and steps.isVisible())
    window.document.mark_saved(window.document.settled_plan)
    window.close()


def _put_away(window: Window, told: str) -> None:
    """Print whether the first steps are shown, and click them away."""
    print(window.first_steps.isVisible())
    window.first_steps.away.click()
    window.close()


def _draw_and_die(window: Window, told: str) -> None:
    """Change the plan; be killed as soon as the copy of it is on the disk."""
    window.document.apply("Rename", replace(window.document.plan, name=told))
    window.files.autosave.written.connect(lambda _plan: os.kill(os.getpid(), 9))
    window.files.autosave.write_now()


def _open_what_is_offered(window: Window, told: str) -> None:
    """Wait for the question, print it, take what it offers first, and look."""
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication, QMessageBox

    box = QApplication.activeModalWidget()
    if not isinstance(box, QMessageBox):
        QTimer.singleShot(20, lambda: _open_what_is_offered(window, told))
        return
    print(box.text())
    box.defaultButton().click()
    QTimer.singleShot(_CALM_MS, lambda: _look(window, told))


ACTS: dict[str, Act] = {
    "close": _close,
    "name": _name,
    "look": _look,
    "put the first steps away": _put_away,
    "draw and die": _draw_and_die,
    "open what is offered": _open_what_is_offered,
}


def _start(asked: Mapping[str, Any]) -> int:
    """Be the program: the real command line, the real window; only its first showing also begins the act."""
    from PySide6.QtCore import QTimer

    import app.window
    from app.__main__ import main

    os.environ.update(asked["env"])
    for name, number in (("out", 1), ("err", 2)):
        file = os.open(asked[name], os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(file, number)
        os.close(file)
    shown = app.window.MainWindow.show

    def show(window: Window) -> None:
        shown(window)
        QTimer.singleShot(asked["after_ms"], lambda: ACTS[asked["act"]](window, asked["told"]))

    app.window.MainWindow.show = show  # type: ignore[method-assign]
    return main(asked["words"])


def _serve() -> int:
    """Fork for every line; the child returns as a program of its own."""
    import app.__main__
    import app.window
    from app.files import demo_shops

    assert app.window
    assert app.__main__
    demo_shops()  # reads the plan file's description once for all
    for line in sys.stdin:
        if not hasattr(os, "fork"):
            return _start(json.loads(line))
        child = os.fork()
        if child == 0:
            return _start(json.loads(line))
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(_serve())
