"""Findings arrive in the background, follow switches and edits, and point at their place."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.panels.sentences import Weight
from app.window import MainWindow
from core.plan.edits import moved


def lines(window: MainWindow) -> list[str]:
    return [line.sentence.title for line in window.inspector.findings.lines if not line.isHidden()]


def settled(window: MainWindow, qtbot: Any, do: Any) -> None:
    with qtbot.waitSignal(window.checks.background.arrived, timeout=60_000):
        do()


def test_the_panel_names_the_shadow_its_cause_and_its_remedy(checked: MainWindow) -> None:
    first = next(line for line in checked.inspector.findings.lines if "your body shades" in line.sentence.title)
    assert first.sentence.weight is Weight.ACT
    assert "behind the worker" in first.sentence.detail
    assert "Move 4 ft strip" in first.sentence.detail
    QTest.mouseClick(first, Qt.MouseButton.LeftButton, pos=QPoint(40, 12))
    assert checked.document.selection >= {"bench-1", "fixture-1"}
    assert checked.checks.sheet.place is not None


def test_a_right_layout_takes_the_finding_away_and_undo_brings_it_back(checked: MainWindow, qtbot: Any) -> None:
    plan = moved(checked.document.settled_plan, ["fixture-1", "fixture-2"], 0.0, -1.4)
    plan = moved(plan, ["fixture-2"], 0.0, -1.3)
    settled(checked, qtbot, lambda: checked.document.apply("Move the strips", plan))
    assert not any("your body shades" in title for title in lines(checked))
    settled(checked, qtbot, checked.document.undo)
    assert any("your body shades" in title for title in lines(checked))


def test_findings_follow_the_switches(checked: MainWindow, qtbot: Any) -> None:
    settled(checked, qtbot, lambda: checked.switches.toggle("A"))
    found = checked.checks.background.found
    assert found.setting == "B"
    shadow = next(f for f in found.findings if f.what.startswith("body shadow"))
    assert "fixture-2" in shadow.cause
    settled(checked, qtbot, lambda: checked.switch_all(0.0))
    assert any("All switches are off" in title for title in lines(checked))


def test_all_findings_select_on_the_plan_and_change_the_worker(checked: MainWindow, qtbot: Any) -> None:
    checked.checks.show_findings()
    opened = checked.checks.findings_window
    assert opened.table.rowCount() == len(checked.checks.background.found.findings)
    assert opened.drawn() is not None
    row = next(n for n, f in enumerate(checked.checks.background.found.findings) if f.what.startswith("body shadow"))
    opened.table.selectRow(row)
    assert "bench-1" in checked.document.selection
    before = opened.drawn().finding.figure
    settled(checked, qtbot, opened.leaning.click)
    assert checked.document.settled_plan.worker.leaning
    assert checked.document.undo_text == "Let the worker lean in"
    assert opened.drawn().finding.figure >= before
    opened.close()


def test_an_eye_is_placed_by_two_clicks(checked: MainWindow, qtbot: Any) -> None:
    checked.checks.place_eye()
    view, sheet = checked.canvas.view, checked.checks.sheet
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=view.to_screen(1.0, 2.5).toPoint())
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=view.to_screen(3.0, 2.5).toPoint())
    (eye,) = checked.document.settled_plan.checking.views
    assert abs(eye.x - 1.0) < 0.03
    assert min(eye.direction_deg, 360.0 - eye.direction_deg) < 2.0
    assert checked.document.undo_text == "Place an eye"
    qtbot.waitUntil(lambda: not checked.checks.background.is_busy, timeout=60_000)
    assert any(f.where == "Eye 1" for f in checked.checks.background.found.findings)


def test_escape_leaves_picking_and_the_canvas_works_again(checked: MainWindow) -> None:
    checked.checks.place_camera()
    QTest.keyClick(checked.checks.sheet, Qt.Key.Key_Escape)
    assert checked.checks.sheet.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    assert checked.document.settled_plan.checking.cameras == ()


def test_a_failure_is_told_and_work_goes_on(checked: MainWindow, qtbot: Any, monkeypatch: Any) -> None:
    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("broken")

    with monkeypatch.context() as patched:
        patched.setattr(checked.checks.background._checker, "study", fails)
        settled(checked, qtbot, lambda: checked.switches.toggle("B"))
        assert checked.checks.background.found.failure
    settled(checked, qtbot, lambda: checked.switches.toggle("B"))
    assert checked.checks.background.found.findings


def typed(row: Any, text: str) -> None:
    """Type into a row of a form and press Enter."""
    row.line.setFocus()
    row.line.selectAll()
    QTest.keyClicks(row.line, text)
    QTest.keyClick(row.line, Qt.Key.Key_Return)


def test_limits_and_worker_are_the_users(checked: MainWindow, qtbot: Any) -> None:
    checked.checks.show_limits()
    form, document = checked.checks.findings_window.wanted, checked.document
    typed(form.cri, "90")
    typed(form.glare, "19")
    typed(form.loss, "15 %")
    typed(form.meter, "0.03")
    checking = document.settled_plan.checking
    assert (checking.cri, checking.glare, checking.loss, checking.meter_share) == (90, 19.0, 0.15, 0.03)
    typed(form.tall, "6' 6\"")
    form.hand.chosen.emit("left")
    worker = document.settled_plan.worker
    assert (worker.height, worker.hand) == (pytest.approx(1.9812), "left")
    typed(form.cri, "900")
    assert form.cri.is_wrong
    assert document.settled_plan.checking.cri == 90
    qtbot.waitUntil(lambda: not checked.checks.background.is_busy, timeout=60_000)
    rows = checked.checks.background.found.findings
    assert any(f.unit == "CRI" and f.target == "at least 90" and f.severity.word == "to mind" for f in rows)
    assert any(f.unit == "UGR" and f.target == "at most 19" for f in rows)
    document.undo()
    document.undo()
    assert document.settled_plan.worker.height == 1.75
    assert form.tall.line.text() == "5' 8 7/8\""


def test_standards_stand_beside_the_limits_with_their_sources(checked: MainWindow) -> None:
    checked.checks.show_limits()
    table = checked.checks.findings_window.wanted.table
    rows = [table.item(row, 0).text() for row in range(table.rowCount())]
    assert any("woodworking machines" in row and "EN 12464-1" in row and "from memory" in row for row in rows)
    assert any("home workshop" in row and "common practice, no source" in row for row in rows)
    assert table.item(0, 1).text() == "28", "300 lx in foot-candles"


def test_an_eye_and_a_camera_are_edited_one_by_one(checked: MainWindow, qtbot: Any) -> None:
    checked.checks.show_places()
    opened = checked.checks.findings_window
    form = opened.places
    assert "two clicks" in form.empty.text()
    assert not form.empty.isHidden()
    view, sheet = checked.canvas.view, checked.checks.sheet
    form.buttons["Place a camera…"].click()
    assert not opened.isVisible(), "the window steps aside for the clicks"
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=view.to_screen(1.0, 2.5).toPoint())
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=view.to_screen(3.0, 2.5).toPoint())
    assert opened.isVisible()
    typed(form.name, "Over the bench")
    typed(form.above, "2 m")
    typed(form.angle, "50")
    typed(form.face_left, "2.5 m")
    (camera,) = checked.document.settled_plan.checking.cameras
    assert (camera.name, camera.height, camera.angle_deg) == ("Over the bench", 2.0, 50.0)
    assert camera.subject_x == pytest.approx(2.5)
    checked.checks.sheet.pick(lambda _: None)
    checked.checks._add_eye((1.0, 1.0), (2.0, 1.0))
    form.which.set_value("view-1")
    form.refresh()
    typed(form.direction, "90")
    assert checked.document.settled_plan.checking.views[0].direction_deg == 90.0
    assert form.angle.isHidden()
    assert not form.direction.isHidden()
    form.remove()
    assert checked.document.settled_plan.checking.views == ()
    assert form.chosen() == camera


def test_the_table_never_scrolls_sideways_and_shows_the_cause_of_a_row(checked: MainWindow) -> None:
    checked.checks.show_findings()
    opened = checked.checks.findings_window
    assert opened.width() <= 1280
    assert opened.table.horizontalScrollBar().maximum() == 0
    assert opened.detail.isHidden()
    opened.table.selectRow(0)
    assert opened.detail.text() == checked.checks.background.found.findings[0].detail
    assert opened.faces.rowCount() == 1
    assert opened.faces.item(0, 0).text() == "face at Bench"


def test_waiting_ends_when_no_light_comes(checked: MainWindow, qtbot: Any) -> None:
    """The light was stopped: the checks say so and wait no longer."""
    checked.document.apply("Raise", moved(checked.document.settled_plan, ["bench-1"], 0.1, 0.0))
    checked.solver.stop()
    qtbot.waitUntil(lambda: not checked.checks.background.is_busy, timeout=60_000)
    assert "was not worked out" in checked.checks.background.found.failure
    assert checked.inspector.findings.waits.isHidden()
    checked.checks.show_findings()
    assert "was not worked out" in checked.checks.findings_window.table.empty
    assert "worked out…" not in checked.checks.findings_window.about.text()


def test_a_gesture_that_is_given_up_ends_the_waiting(checked: MainWindow, qtbot: Any) -> None:
    document = checked.document
    document.preview(moved(document.settled_plan, ["fixture-1"], 0.3, 0.0))
    qtbot.wait(400)
    document.cancel()
    qtbot.waitUntil(lambda: not checked.checks.background.is_busy, timeout=60_000)
    assert checked.checks.background.found.findings
