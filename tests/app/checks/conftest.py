"""A window on the small shop with the wrong light: a strip behind the person at the bench.

All windows share one engine and one checker: both keep by value what they worked out, so that the room is solved once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import QSettings

from app.window import MainWindow
from core.checks.checker import Checker
from core.light.engine import LightEngine
from core.plan import Fixture
from tests.core.checks.shops import bench_shop

_ENGINE = LightEngine(step=0.6)
_CHECKER = Checker(_ENGINE)


@pytest.fixture
def engine() -> LightEngine:
    """The engine of all windows."""
    return _ENGINE


@pytest.fixture(autouse=True)
def _fresh_user() -> None:
    QSettings().clear()


@pytest.fixture
def window(qtbot: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[MainWindow]:
    monkeypatch.setattr("app.checks.background.Checker", lambda _engine: _CHECKER)
    plan = bench_shop(1.9, Fixture("fixture-2", "strip", 2.25, 3.2, height=2.47, group="B"))
    made = MainWindow(plan, engine=_ENGINE)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    made.resize(1280, 800)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.checks.shutdown()
    made.solver.shutdown()


@pytest.fixture
def checked(window: MainWindow, qtbot: Any) -> MainWindow:
    """The window once its findings are there."""
    qtbot.waitUntil(lambda: window.checks.background.found is not None, timeout=60_000)
    return window
