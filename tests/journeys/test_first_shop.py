"""The journey of a first shop can be gone, with few enough gestures, and leads where it should."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QCoreApplication, QSettings, Qt
from PySide6.QtWidgets import QApplication

from app.templates import blank
from app.window import MainWindow
from core.light.engine import LightEngine
from core.plan.file import load_plan
from core.units import FOOT
from tests.journeys.first_shop import MOST_GESTURES, draw_first_shop
from tests.journeys.hand import Gestures, Hand


@pytest.fixture
def own_dialogs():
    """Dialogs of the program's own toolkit, which can be typed into."""
    attribute = Qt.ApplicationAttribute.AA_DontUseNativeDialogs
    before = QCoreApplication.testAttribute(attribute)
    QCoreApplication.setAttribute(attribute, True)
    yield
    QCoreApplication.setAttribute(attribute, before)


def test_a_first_shop_from_nothing(qtbot, tmp_path, own_dialogs):
    QSettings().clear()
    window = MainWindow(blank("Garage"), engine=LightEngine(step=0.6))
    qtbot.addWidget(window, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    window.resize(1280, 800)
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    window.canvas.setFocus()
    gestures = Gestures(QApplication.instance())
    path = tmp_path / "first-shop.json"
    draw_first_shop(Hand(window), path)
    window.solver.shutdown()
    plan = load_plan(path)
    assert gestures.count <= MOST_GESTURES
    outline = [(round(x / FOOT, 6), round(y / FOOT, 6)) for x, y in plan.room.outline]
    assert outline == [(0, 0), (24, 0), (24, 12), (16, 12), (16, 22), (0, 22)]
    assert sorted(o.kind for o in plan.room.openings) == ["door", "overhead door"]
    assert sorted(k.kind for k in plan.room.keep_outs) == ["opener", "track", "track"]
    assert sorted(item.kind for item in plan.furniture) == ["bench", "bench", "cabinet"]
    assert [f.group for f in plan.fixtures] == ["A", "A", "A", "B", "B", "B"]
    assert len({round(f.x, 6) for f in plan.fixtures}) == 3
    assert len({round(f.y, 6) for f in plan.fixtures}) == 2
