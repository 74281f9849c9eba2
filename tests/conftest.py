"""For all tests: no screen needed, settings and data of their own, no Qt warning, no thread left behind."""

from __future__ import annotations

import os
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

_PATIENCE_S = 5.0
_SHARED = ("rays",)  # one pool for the whole process, kept on purpose
_HOME = Path(tempfile.mkdtemp(prefix="candlebench-tests-"))

# No test is timed: a busy machine is no fault of the program.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

# Before NumPy is loaded: tests run side by side, and its threads would wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Before Qt is loaded: it reads these once. On one screen the windows of tests side by side would take each other's
# keys.
if "PYTEST_XDIST_WORKER" in os.environ:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
if sys.platform.startswith("linux"):
    if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    for name in ("CONFIG", "DATA", "CACHE", "STATE"):
        os.environ[f"XDG_{name}_HOME"] = str(_HOME / name.lower())


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every warning of Qt fails the test that caused it."""
    for item in items:
        if item.get_closest_marker("qt_log_level_fail") is None:
            item.add_marker(pytest.mark.qt_log_level_fail("WARNING"))
        # What the offscreen platform says about every dialog is no fault of the program.
        item.add_marker(pytest.mark.qt_log_ignore("This plugin does not support"))


@pytest.fixture(scope="session", autouse=True)
def _own_settings() -> None:
    """Keep settings and data of the tests away from those of the user, on every system."""
    from PySide6.QtCore import QCoreApplication, QSettings, QStandardPaths

    QStandardPaths.setTestModeEnabled(not sys.platform.startswith("linux"))
    QCoreApplication.setApplicationName("candlebench-tests")
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(_HOME / "settings"))


@pytest.fixture(autouse=True)
def _no_window_left() -> Iterator[None]:
    """Let Qt delete what a test has closed: no event loop runs that would, and every window left slows the next."""
    yield
    if "PySide6.QtWidgets" not in sys.modules:
        return
    from PySide6.QtCore import QCoreApplication, QEvent

    if QCoreApplication.instance() is not None:
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture(autouse=True)
def _no_thread_left() -> Iterator[None]:
    """A test that leaves a thread running has failed."""
    before = set(threading.enumerate())
    yield
    end = time.monotonic() + _PATIENCE_S
    left: set[threading.Thread] = set()
    while time.monotonic() < end:
        left = {t for t in threading.enumerate() if t not in before and t.is_alive() and not t.daemon}
        left = {t for t in left if not t.name.startswith(_SHARED)}
        if not left:
            return
        time.sleep(0.01)
    pytest.fail(f"threads left running: {', '.join(sorted(t.name for t in left))}")
