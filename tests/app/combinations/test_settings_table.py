"""The table of all switch settings, and the question for the least that is enough, with real keys and clicks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QInputDialog

from app.dialogs.settings_table import SettingsTable
from app.window import MainWindow
from core.light.engine import LightEngine
from core.plan import Group
from core.plan.edits import with_group
from core.units import LUX_PER_FC
from tests.app.shell.conftest import small_shop, type_into

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(scope="module")
def engine():
    """One engine for all: the light of the shop is worked out once."""
    return LightEngine(step=0.6)


@pytest.fixture
def window(qtbot, engine):
    QSettings().clear()
    made = MainWindow(small_shop(), engine=engine)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    made.show()
    qtbot.waitExposed(made)
    qtbot.waitUntil(lambda: made.solver.lighting is not None and not made.solver.is_busy, timeout=60_000)
    yield made
    made.checks.shutdown()
    made.solver.shutdown()


@pytest.fixture
def table(window, qtbot):
    window.show_settings_table()
    found = window.findChild(SettingsTable)
    qtbot.waitExposed(found)
    yield found
    found.question.shutdown()


def names(table):
    return [table.table.item(row, 0).text() for row in range(table.table.rowCount())]


def ask(table, qtbot, light):
    type_into(table.question.light.line, light, enter=False)
    QTest.mouseClick(table.question.find_it, LEFT)
    qtbot.waitUntil(lambda: not table.question._runner.is_busy and table.question.said.isVisible(), timeout=30_000)


def test_esc_takes_back_what_was_typed_and_then_closes_the_table(table):
    line = table.question.light.line
    line.setFocus()
    before = line.text()
    QTest.keyClicks(line, "7")
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert line.text() == before
    assert table.isVisible()
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert not table.isVisible()


def test_the_least_at_a_bench_is_a_setting_that_can_be_set_and_kept(window, table, qtbot, monkeypatch):
    bench = window.document.plan.benches()[0].id
    of_a = window.reading.at({"A": 1.0, "B": 0.0}).benches[bench].average / LUX_PER_FC
    ask(table, qtbot, f"{of_a:.2f} fc")
    found = table.question.answer
    assert found.is_enough
    assert found.reached >= of_a * LUX_PER_FC * (1 - 1e-3)
    said = table.question.said.text()
    assert f"{found.watts:.0f} W" in said
    assert "initial light on average at Joinery bench" in said
    row = table.table.currentRow()
    assert table._settings[row].levels == found.levels
    QTest.mouseClick(table.set_switches, LEFT)
    assert window.switches.levels == found.levels
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: ("Fine work", True))
    QTest.mouseClick(table.keep, LEFT)
    assert window.document.plan.combinations[-1].shares() == {k: v for k, v in found.levels.items() if v}
    assert "3  Fine work" in names(table)


def test_what_no_setting_reaches_says_how_much_is_missing(window, table, qtbot):
    ask(table, qtbot, "5000 fc")
    assert not table.question.answer.is_enough
    assert table.question.said.text().startswith("No setting reaches it. Everything on gives")
    assert "short." in table.question.said.text()
    # Another plan, another answer: the old one goes.
    window.document.apply(
        "Rename", replace(window.document.plan, targets=replace(window.document.plan.targets, lux=500))
    )
    table.refresh()
    assert table.question.answer is None
    assert not table.question.said.isVisible()


def test_a_wrong_entry_is_told_and_nothing_is_asked(table):
    type_into(table.question.light.line, "bright")
    assert table.question.light.is_wrong
    assert not table.question._runner.is_busy
    assert table.question.answer is None


def test_every_line_has_a_picture_watts_and_what_an_hour_costs(window, table):
    plan = window.document.plan
    for row, setting in enumerate(table._settings):
        watts = sum(plan.setting(f).watts * setting.levels[f.group] for f in plan.fixtures)
        assert table.table.item(row, 5).text() == f"{watts:.0f} W"
        assert float(table.table.item(row, 6).text()) == pytest.approx(
            watts / 1000 * plan.buying.energy_price, abs=5e-4
        )
        icon = table.table.item(row, 0).icon()
        assert not icon.isNull()
    bright, dark = (table.table.item(names(table).index(name), 0).icon() for name in ("All on", "All off"))
    middle = [icon.pixmap(104, 72).toImage().pixelColor(52, 36).lightnessF() for icon in (bright, dark)]
    assert middle[0] > middle[1] + 0.1


def test_with_seven_switches_the_named_and_the_asked_are_shown_and_that_is_said(window, table):
    plan = window.document.settled_plan
    for letter in "CDEFG":
        plan = with_group(plan, Group(letter, f"Switch {letter}"))
    window.document.apply("Add switches", plan)
    table.refresh()
    assert names(table) == ["All on", "1  Everything", "2  Sweep up"]
    assert "7 switches have 128 settings" in table.about.text()
    window.switches.take(replace(plan.combinations[0], levels=plan.combinations[0].levels[:1]))
    QTest.mouseClick(table.show_present, LEFT)
    assert names(table)[-1] == "A alone"


def test_lux_where_the_plan_is_metric(window, table):
    window.toggle_units()
    table.refresh()
    assert table.table.horizontalHeaderItem(1).text() == "room\naverage, lx"
    assert table.question.light.line.text().endswith("lx")
