"""The light meter in the window: a walk, typed and pasted readings, comparing, calibrating, the sheet on paper."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.checks.meter_window import MeterWindow
from app.checks.readings_table import DARK, READ, REMARK
from app.checks.walk_sheet import save_walk_sheet, walk_html
from app.window import MainWindow
from core.light.engine import LightEngine
from core.metering.predict import predicted_parts, shares_of
from core.plan.checking import with_entry
from core.units import LUX_PER_FC


@pytest.fixture
def meter(window: MainWindow) -> MeterWindow:
    window.checks.show_meter()
    return window.checks.meter_window


def readings(window: MainWindow) -> Any:
    return window.document.settled_plan.checking.readings


def test_a_walk_is_laid_out_and_typed_in(window: MainWindow, meter: MeterWindow) -> None:
    meter.lay_out_walk()
    assert len(readings(window)) == meter.table.rowCount() > 4
    meter.table.item(0, READ).setText("84")
    assert readings(window)[0].lux == pytest.approx(84 * LUX_PER_FC)
    assert readings(window)[0].taken
    meter.table.item(0, DARK).setText("2 fc")
    assert readings(window)[0].net_lux == pytest.approx(82 * LUX_PER_FC)
    meter.table.item(1, READ).setText("bright")
    assert "bright" in meter.said.text()
    assert readings(window)[1].lux is None
    assert meter.table.item(1, READ).text() == "bright", "what was typed stays to be mended"
    assert "bright" in meter.table.item(1, READ).toolTip()
    meter.table.item(1, READ).setText("80")
    assert readings(window)[1].lux == pytest.approx(80 * LUX_PER_FC)
    assert meter.table.horizontalHeaderItem(READ).text() == "reading\nfc"
    window.document.undo()
    window.document.undo()
    assert readings(window)[0].dark_lux == 0.0


def test_a_table_is_pasted(window: MainWindow, meter: MeterWindow) -> None:
    meter.lay_out_walk()
    meter.take_text("point\treading\n1\t80\n2\t90\n")
    assert [r.lux for r in readings(window)[:2]] == pytest.approx([80 * LUX_PER_FC, 90 * LUX_PER_FC])
    meter.take_text("1\tdark\n")
    assert "Line 1" in meter.said.text()


def test_a_reading_is_placed_by_a_click(window: MainWindow, meter: MeterWindow) -> None:
    meter.place_one()
    QTest.mouseClick(
        window.checks.sheet, Qt.MouseButton.LeftButton, pos=window.canvas.view.to_screen(2.0, 2.0).toPoint()
    )
    (placed,) = readings(window)
    assert (placed.x, placed.y) == pytest.approx((2.0, 2.0), abs=0.03)
    assert dict(placed.levels) == {"A": 1.0, "B": 1.0}


def test_readings_are_compared_and_the_plan_is_brought_to_them(
    window: MainWindow, meter: MeterWindow, engine: LightEngine, qtbot: Any
) -> None:
    meter.lay_out_walk()
    plan = window.document.settled_plan
    lux = (predicted_parts(plan, readings(window), engine) * shares_of(plan, readings(window))).sum(axis=1)
    read = tuple(replace(r, lux=0.9 * float(v)) for r, v in zip(readings(window), lux, strict=True))
    read = (*read[:-1], replace(read[-1], lux=read[-1].lux * 10.0))
    window.document.apply("Read", replace(plan, checking=replace(plan.checking, readings=read)))
    meter.compare()
    qtbot.waitUntil(lambda: meter.calibration is not None, timeout=60_000)
    assert "0.90 times the predicted" in meter.outcome.text()
    assert "decimal point" in meter.table.item(len(read) - 1, REMARK).text()
    assert window.checks.sheet.odd == {read[-1].id}
    before = window.document.settled_plan.models[0].settings[0].lumens
    meter.apply_factor()
    assert window.document.settled_plan.models[0].settings[0].lumens == pytest.approx(0.9 * before, rel=0.01)
    window.document.undo()
    assert window.document.settled_plan.models[0].settings[0].lumens == before


def test_too_few_readings_are_told(window: MainWindow, meter: MeterWindow, qtbot: Any) -> None:
    meter.lay_out_walk()
    meter.compare()
    qtbot.waitUntil(lambda: "take 3 at least" in meter.said.text(), timeout=60_000)


def test_the_walk_sheet_has_every_point_and_how_to_read(window: MainWindow, meter: MeterWindow, tmp_path: Any) -> None:
    meter.lay_out_walk()
    plan = replace(window.document.settled_plan, name="Tom & <b>Jo</b>")
    html = walk_html(plan)
    assert html.count("<tr>") == len(plan.checking.readings) + 1
    assert "Tom &amp; &lt;b&gt;" in html
    for words in ("lights off", "20 to 30 minutes", "body"):
        assert words in html
    assert "<th align=left>switches</th>" not in html
    assert "upright, facing down on the plan" in html, "the eye at the bench by the lower wall"
    first = replace(plan.checking.readings[0], combination="A alone", levels=(("A", 1.0),))
    mixed = walk_html(replace(plan, checking=with_entry(plan.checking, first)))
    assert "<th align=left>switches</th>" in mixed
    assert "<td>A alone</td>" in mixed
    save_walk_sheet(plan, tmp_path / "walk.pdf")
    assert (tmp_path / "walk.pdf").read_bytes().startswith(b"%PDF")


def settled(meter: MeterWindow, qtbot: Any) -> None:
    qtbot.waitUntil(lambda: not meter.runner.is_busy, timeout=60_000)


def typed(row: Any, text: str) -> None:
    """Type into a row of a form and press Enter."""
    row.line.setFocus()
    row.line.selectAll()
    QTest.keyClicks(row.line, text)
    QTest.keyClick(row.line, Qt.Key.Key_Return)


def test_a_lamp_is_tried_before_buying(window: MainWindow, meter: MeterWindow, qtbot: Any) -> None:
    window.document.select(["fixture-2"])
    dialog = meter.try_lamp()
    assert dialog.which.value() == "fixture-2"
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=60_000)
    assert "Tape or clamp one 4 ft strip" in dialog.told.text()
    assert not dialog.correct.isEnabled()
    expected = dialog._trial.expected / LUX_PER_FC
    typed(dialog.dark, "2")
    typed(dialog.read, f"{10 * expected:.2f}")
    assert "look at the unit" in dialog.outcome.text()
    assert not dialog.correct.isEnabled()
    typed(dialog.read, f"{0.8 * expected + 2:.2f}")
    assert "0.80 times what was expected" in dialog.outcome.text()
    assert "4,000 lm in place of 5,000 lm" in dialog.outcome.text()
    QTest.mouseClick(dialog.correct, Qt.MouseButton.LeftButton)
    assert window.document.settled_plan.model("strip").settings[0].lumens == pytest.approx(4000.0, rel=0.002)
    assert window.document.undo_text == "Correct 4 ft strip, times 0.80"
    dialog.accept()


def test_a_trial_without_fixtures_says_what_to_do(window: MainWindow, meter: MeterWindow) -> None:
    bare = replace(window.document.settled_plan, fixtures=())
    window.document.apply("Remove", bare)
    dialog = meter.try_lamp()
    assert "no fixture on the plan" in dialog.told.text()
    dialog.accept()


def test_one_reading_is_changed_in_all_its_parts(window: MainWindow, meter: MeterWindow) -> None:
    meter.lay_out_walk()
    meter.table.selectRow(2)
    meter.tabs.setCurrentIndex(1)
    form = meter.form
    typed(form.above, "4'")
    typed(form.tilt, "90")
    typed(form.direction, "180")
    typed(form.lux, "55 fc")
    typed(form.taken, "Tuesday night")
    typed(form.beside, "1 m")
    changed = readings(window)[2]
    assert (changed.height, changed.tilt_deg, changed.azimuth_deg) == pytest.approx((1.2192, 90.0, 180.0))
    assert (changed.x, changed.taken) == (1.0, "Tuesday night")
    assert changed.lux == pytest.approx(55 * LUX_PER_FC)
    assert "upright" in meter.table.item(2, 2).text()
    form.switches.chosen.emit(("A alone", (("A", 1.0),)))
    assert readings(window)[2].levels == (("A", 1.0),)
    form.unit.chosen.emit("lx")
    assert readings(window)[2].unit == "lx"
    typed(form.tilt, "200")
    assert form.tilt.is_wrong
    assert readings(window)[2].tilt_deg == 90.0


def test_old_lamps_are_surveyed_before(window: MainWindow, meter: MeterWindow, qtbot: Any) -> None:
    """Readings under the old lamps say what the new ones gain, and take no part in calibrating."""
    meter._choose_lamps("old")
    meter.lay_out_walk()
    assert {reading.lamps for reading in readings(window)} == {"old"}
    meter.take_text("1\t5\n2\t6\n3\t4\n")
    meter.compare()
    settled(meter, qtbot)
    assert "The old light: 5.0 fc on average of 3 readings" in meter.outcome.text()
    assert meter.calibration is None
    assert meter.said.text() == ""
    assert meter.table.item(0, 7).text().startswith("×")


def test_before_and_after_are_put_side_by_side(window: MainWindow, meter: MeterWindow, qtbot: Any) -> None:
    assert meter.show_before_and_after() is None
    assert "Compare first" in meter.said.text()
    meter.take_text("x,y,reading\n1 m,1 m,10\n2 m,1.2 m,10\n3 m,2 m,10\n")
    meter.compare()
    settled(meter, qtbot)
    dialog = meter.show_before_and_after()
    dialog.runner.stop()
    factor = meter.calibration.comparison.factor.value
    assert dialog._plans[1].model("strip").settings[0].lumens == pytest.approx(5000.0 * factor)
    dialog.close()
    qtbot.waitUntil(lambda: not dialog.isVisible())


def test_an_empty_table_says_what_to_do(window: MainWindow, meter: MeterWindow) -> None:
    assert meter.table.rowCount() == 0
    assert "Lay out a walk" in meter.table.empty
    assert not meter.form.empty.isHidden()
    assert meter.table.horizontalScrollBar().maximum() == 0


def test_a_change_of_the_plan_ends_the_waiting(window: MainWindow, meter: MeterWindow, qtbot: Any) -> None:
    meter.lay_out_walk()
    meter.compare()
    assert "worked out" in meter.said.text()
    meter.table.item(0, READ).setText("84")
    assert not meter.runner.is_busy
    assert "worked out" not in meter.said.text()
