"""Findings arrive in the background, follow switches and edits, and point at their place."""

from __future__ import annotations

from typing import Any

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
