"""The light meter in the window: a walk, typed and pasted readings, comparing, calibrating, the sheet on paper."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.checks.meter_window import MeterWindow
from app.checks.walk_sheet import save_walk_sheet, walk_html
from app.window import MainWindow
from core.light.engine import LightEngine
from core.metering.predict import predicted_parts, shares_of
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
    meter.table.item(0, 5).setText("84")
    assert readings(window)[0].lux == pytest.approx(84 * LUX_PER_FC)
    assert readings(window)[0].taken
    meter.table.item(0, 6).setText("2 fc")
    assert readings(window)[0].net_lux == pytest.approx(82 * LUX_PER_FC)
    meter.table.item(1, 5).setText("bright")
    assert "bright" in meter.said.text()
    assert readings(window)[1].lux is None
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
    window: MainWindow, meter: MeterWindow, qtbot: Any
) -> None:
    meter.lay_out_walk()
    plan = window.document.settled_plan
    lux = (predicted_parts(plan, readings(window), LightEngine()) * shares_of(plan, readings(window))).sum(axis=1)
    read = tuple(replace(r, lux=0.9 * float(v)) for r, v in zip(readings(window), lux, strict=True))
    read = (*read[:-1], replace(read[-1], lux=read[-1].lux * 10.0))
    window.document.apply("Read", replace(plan, checking=replace(plan.checking, readings=read)))
    meter.compare()
    qtbot.waitUntil(lambda: meter.calibration is not None, timeout=60_000)
    assert "0.90 times the predicted" in meter.outcome.text()
    assert "decimal point" in meter.table.item(len(read) - 1, 9).text()
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
    save_walk_sheet(plan, tmp_path / "walk.pdf")
    assert (tmp_path / "walk.pdf").read_bytes().startswith(b"%PDF")


def test_a_lamp_is_tried_before_buying(window: MainWindow, meter: MeterWindow) -> None:
    meter.try_lamp()
    assert "Select one fixture" in meter.said.text()
    window.document.select(["fixture-2"])
    meter.try_lamp()
    assert "Tape or clamp one 4 ft strip" in meter.outcome.text()
