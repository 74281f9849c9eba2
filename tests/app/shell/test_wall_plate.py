"""Switches, dimmers and kept combinations, worked with mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window import MainWindow
from core.units import to_fc
from tests.app.shell.conftest import enter_name, type_into

LEFT = Qt.MouseButton.LeftButton


def test_a_click_on_a_rocker_turns_the_light_off_and_on(lit: MainWindow) -> None:
    rocker = lit.plate.cards["A"].rocker
    before = lit.reading.field.room.average
    QTest.mouseClick(rocker, LEFT)
    assert lit.switches.levels["A"] == 0.0
    assert not rocker.is_on
    assert lit.reading.field.room.average < before
    QTest.mouseClick(rocker, LEFT)
    assert lit.switches.levels["A"] == 1.0
    assert lit.reading.field.room.average == pytest.approx(before)


def test_a_dimmer_is_added_by_a_click(window: MainWindow) -> None:
    card = window.plate.cards["A"]
    assert card.add_dimmer.isVisible()
    assert not card.dimmer.isVisible()
    QTest.mouseClick(card.add_dimmer, LEFT)
    assert window.document.plan.groups[0].dimmable
    assert card.dimmer.isVisible()
    assert not card.add_dimmer.isVisible()
    window.document.undo()
    assert card.add_dimmer.isVisible()


def test_the_switch_that_the_selection_is_on_keeps_its_load(window: MainWindow) -> None:
    one, other = window.plate.cards["A"], window.plate.cards["B"]
    on_a = next(fixture.id for fixture in window.document.plan.fixtures if fixture.group == "A")
    window.document.select([on_a])
    assert one.load.isVisible()
    assert not one.put_here.isVisible()
    assert other.put_here.isVisible()
    QTest.mouseClick(other.put_here, LEFT)
    assert not other.put_here.isVisible()
    assert other.load.isVisible()
    assert one.put_here.isVisible()


def test_the_switches_have_room_beside_the_figures_however_wide_these_are(lit: MainWindow) -> None:
    plate = lit.plate
    for _ in range(4):
        plate.add_group()
    for _ in range(2):
        assert not plate._scroll.horizontalScrollBar().isVisible()
        assert plate.new_switch.visibleRegion().boundingRect() == plate.new_switch.rect()
        lit.toggle_units()
        QApplication.processEvents()


@pytest.mark.parametrize("where", ["canvas", "rocker", "shelf"])
def test_a_letter_flips_its_switch_wherever_no_text_is_typed(window: MainWindow, where: str) -> None:
    widget = {"canvas": window.canvas, "rocker": window.plate.cards["B"].rocker, "shelf": window.shelf.items[0]}[where]
    widget.setFocus()
    QTest.keyClick(widget, Qt.Key.Key_A)
    assert window.switches.levels == {"A": 0.0, "B": 1.0}
    QTest.keyClick(widget, Qt.Key.Key_A)
    assert window.switches.levels == {"A": 1.0, "B": 1.0}


def test_a_letter_in_a_text_field_is_text(window: MainWindow) -> None:
    line = window.inspector.room_form.name.line
    line.setFocus()
    QTest.keyClicks(line, "AB12")
    assert window.switches.levels == {"A": 1.0, "B": 1.0}
    assert "AB12" in line.text()


def test_dragging_the_dimmer_dims_in_proportion(lit: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    slider = lit.plate.cards["B"].dimmer
    assert slider.isVisible()
    assert not lit.plate.cards["A"].dimmer.isVisible()
    QTest.mouseClick(lit.plate.cards["A"].rocker, LEFT)
    full = lit.reading.field.room.average
    start = QPoint(slider.width() - 7, slider.height() // 2)
    QTest.mousePress(slider, LEFT, Qt.KeyboardModifier.NoModifier, start)
    for x in range(start.x(), slider.width() // 2, -4):
        QTest.mouseMove(slider, QPoint(x, start.y()))
    QTest.mouseRelease(slider, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(slider.width() // 2, start.y()))
    level = lit.switches.levels["B"]
    assert 0.3 < level < 0.75
    assert lit.reading.field.room.average == pytest.approx(full * level, rel=1e-5)
    assert lit.plate.cards["B"].share.text() == f"{level * 100:.0f} %"


def test_a_dimmed_switch_comes_back_where_it_was(window: MainWindow) -> None:
    window.plate.cards["B"].dimmer.setValue(40)
    QTest.keyClick(window.canvas, Qt.Key.Key_B)
    assert window.switches.levels["B"] == 0.0
    QTest.keyClick(window.canvas, Qt.Key.Key_B)
    assert window.switches.levels["B"] == pytest.approx(0.4)


def test_keep_this_setting_then_press_its_digit(window: MainWindow) -> None:
    QTest.keyClick(window.canvas, Qt.Key.Key_A)
    enter_name("Gluing up")
    QTest.mouseClick(window.plate.kept.keep_button, LEFT)
    assert [kept.name for kept in window.document.plan.combinations] == ["Everything", "Sweep up", "Gluing up"]
    assert window.plate.kept.buttons[2].isChecked()
    QTest.keyClick(window.canvas, Qt.Key.Key_2)
    assert window.switches.levels == {"A": 0.0, "B": 0.5}
    assert [button.isChecked() for button in window.plate.kept.buttons] == [False, True, False]
    QTest.keyClick(window.canvas, Qt.Key.Key_3)
    assert window.switches.levels == {"A": 0.0, "B": 1.0}


def test_a_digit_without_a_setting_is_explained(window: MainWindow) -> None:
    QTest.keyClick(window.canvas, Qt.Key.Key_7)
    assert "no kept setting 7" in window.status.message.text()
    assert window.status.message.isVisible()


def test_forgetting_and_renaming_a_setting_can_be_undone(window: MainWindow) -> None:
    first = window.document.plan
    enter_name("Clean up")
    window.plate.kept.rename(1)
    window.plate.kept.forget(0)
    assert [kept.name for kept in window.document.plan.combinations] == ["Clean up"]
    window.document.undo()
    window.document.undo()
    assert window.document.plan == first


def test_shift_and_a_letter_puts_the_selection_on_that_switch(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0].id
    window.document.select([fixture])
    window.plate.cards["A"].rocker.setFocus()
    QTest.keyClick(window.plate.cards["A"].rocker, Qt.Key.Key_B, Qt.KeyboardModifier.ShiftModifier)
    assert window.document.plan.fixture(fixture).group == "B"
    assert window.document.undo_text is not None


def test_the_button_on_a_switch_takes_the_selection(window: MainWindow) -> None:
    card = window.plate.cards["B"]
    assert not card.put_here.isVisible()
    window.document.select([f.id for f in window.document.plan.fixtures])
    assert card.put_here.isVisible()
    QTest.mouseClick(card.put_here, LEFT)
    assert {f.group for f in window.document.plan.fixtures} == {"B"}
    assert window.document.undo_text == "Put on switch B"


def test_a_new_switch_gets_the_next_letter_and_its_own_key(window: MainWindow) -> None:
    QTest.mouseClick(window.plate.new_switch, LEFT)
    assert list(window.plate.cards) == ["A", "B", "C"]
    assert window.switches.levels["C"] == 1.0
    QTest.keyClick(window.canvas, Qt.Key.Key_C)
    assert window.switches.levels["C"] == 0.0


def test_a_fixture_of_the_shelf_dropped_on_a_switch_hangs_on_it(window: MainWindow) -> None:
    item = next(item for item in window.shelf.items if item.model is not None)
    card = window.plate.cards["B"]
    mime: QMimeData = item.mime()
    none, copy = Qt.KeyboardModifier.NoModifier, Qt.DropAction.CopyAction
    QApplication.sendEvent(card, QDragEnterEvent(QPoint(20, 20), copy, mime, LEFT, none))
    QApplication.sendEvent(card, QDropEvent(QPointF(20, 20), copy, mime, LEFT, none))
    made = window.document.plan.fixtures[-1]
    assert len(window.document.plan.fixtures) == 4
    assert (made.group, made.model) == ("B", item.thing["model"])


def test_a_fixture_dragged_from_the_drawing_onto_a_switch_goes_on_it_and_stays_in_place(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    start = window.canvas.view.to_screen(fixture.x, fixture.y).toPoint()
    rocker = window.plate.cards["B"].rocker
    end = window.canvas.mapFromGlobal(rocker.mapToGlobal(rocker.rect().center()))
    QTest.mousePress(window.canvas, LEFT, Qt.KeyboardModifier.NoModifier, start)
    for share in (0.1, 0.4, 0.7, 1.0):
        QTest.mouseMove(window.canvas, start + (end - start) * share)
    QTest.mouseRelease(window.canvas, LEFT, Qt.KeyboardModifier.NoModifier, end)
    now = window.document.plan.fixture(fixture.id)
    assert now.group == "B"
    assert (now.x, now.y) == (fixture.x, fixture.y)
    assert not window.document.in_gesture


def test_the_four_figures_say_what_they_are(lit: MainWindow) -> None:
    figures = lit.plate.figures
    field = lit.reading.field
    assert figures.bench.value.text() == f"{to_fc(field.benches['bench-1'].average):.0f} fc"
    assert figures.bench.about.text() == "joinery bench, initial"
    assert figures.room.about.text() == "room, initial"
    assert figures.even.value.text() == f"{field.room.evenness:.2f}"
    watts = sum(lit.document.plan.setting(f).watts for f in lit.document.plan.fixtures)
    assert figures.watts.value.text() == f"{watts:g} W"


def test_maintained_light_is_initial_light_times_the_loss(lit: MainWindow) -> None:
    figures = lit.plate.figures
    before = lit.reading.field.room.average
    QTest.mouseClick(figures.toggle, LEFT)
    factor = lit.document.plan.light_loss.factor
    assert figures.room.value.text() == f"{to_fc(before * factor):.0f} fc"
    assert figures.room.about.text() == "room, maintained"
    assert lit.overlay.scale.factor == pytest.approx(factor)
    assert "× 0.81" in figures.note.text()


def test_a_renamed_bench_is_renamed_under_its_figure(lit: MainWindow) -> None:
    lit.document.select(["bench-1"])
    type_into(lit.inspector.furniture_form.name.line, "Glue-up")
    assert lit.plate.figures.bench.about.text() == "glue-up, initial"


def test_moving_a_fixture_moves_the_figures_while_the_mouse_is_down(lit: MainWindow) -> None:
    lit.solver.wait_until_ready()
    fixture = lit.document.plan.fixtures[2]
    before = lit.plate.figures.bench.value.text()
    start = lit.canvas.view.to_screen(fixture.x, fixture.y).toPoint()
    QTest.mousePress(lit.canvas, LEFT, Qt.KeyboardModifier.NoModifier, start)
    for step in range(1, 12):
        QTest.mouseMove(lit.canvas, start - QPoint(0, 12 * step))
    assert lit.document.in_gesture
    assert lit.plate.figures.bench.value.text() != before
    QTest.mouseRelease(lit.canvas, LEFT, Qt.KeyboardModifier.NoModifier, start - QPoint(0, 132))
    assert not lit.document.in_gesture


def test_six_switches_with_their_names_fit_a_window_of_1280_px(window: MainWindow, qtbot: QtBot) -> None:
    for _ in range(4):
        QTest.mouseClick(window.plate.new_switch, LEFT)
    assert list(window.plate.cards) == ["A", "B", "C", "D", "E", "F"]
    strip = window.plate.cards["A"].parentWidget().parentWidget()
    qtbot.waitUntil(lambda: window.plate.cards["F"].geometry().right() < strip.width())
    for card in window.plate.cards.values():
        assert card.name.text() == next(g.label for g in window.document.plan.groups if g.letter == card.letter)
        assert card.name.height() >= card.name.heightForWidth(card.name.width())
