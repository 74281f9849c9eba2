"""A window on the small shop with the wrong light: a strip behind the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import QSettings

from app.window import MainWindow
from core.light.engine import LightEngine
from core.plan import Fixture
from tests.core.checks.shops import bench_shop


@pytest.fixture(autouse=True)
def _fresh_user() -> None:
    QSettings().clear()


@pytest.fixture
def window(qtbot: Any) -> Iterator[MainWindow]:
    plan = bench_shop(1.9, Fixture("fixture-2", "strip", 2.25, 3.2, height=2.47, group="B"))
    made = MainWindow(plan, engine=LightEngine(step=0.6))
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
