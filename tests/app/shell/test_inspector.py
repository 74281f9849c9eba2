"""Properties typed in the inspector: feet and inches, several things at once, entries that cannot be used."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest

from app.window import MainWindow
from core.ceiling import ceiling_sheet
from core.plan import Finish
from core.shopping import bill_of_materials
from core.units import FOOT, INCH, LUX_PER_FC
from tests.app.shell.conftest import type_into


def test_a_typed_distance_moves_the_fixture(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    row = window.inspector.fixture_form.placing.sides["left"]
    assert row.line.text() == "6'"
    type_into(row.line, "4' 3 1/2\"")
    moved = window.document.plan.fixture(fixture.id)
    assert moved.x == pytest.approx(4 * FOOT + 3.5 * INCH, abs=1e-6)
    assert moved.y == fixture.y
    assert window.document.undo_text == "Place fixture from the left wall"
    window.document.undo()
    assert window.document.plan.fixture(fixture.id) == fixture
    assert row.line.text() == "6'"


def test_the_fields_of_what_is_selected_are_reached_by_keys_alone(window: MainWindow) -> None:
    window.canvas.setFocus()
    QTest.keyClick(window.canvas, Qt.Key.Key_Return)
    assert window.canvas.hasFocus(), "nothing is selected"
    QTest.keyClick(window.canvas, Qt.Key.Key_Tab)
    (chosen,) = window.document.selection
    QTest.keyClick(window.canvas, Qt.Key.Key_Return)
    names = []
    for _ in range(20):
        field = window.focusWidget()
        assert field is not None
        assert window.inspector.isAncestorOf(field)
        names.append(field.accessibleName())
        if field is window.inspector.fixture_form.placing.sides["left"].line:
            break
        QTest.keyClick(field, Qt.Key.Key_Tab)
    assert len(set(names)) == len(names)
    assert names[-1] == window.inspector.fixture_form.placing.sides["left"].line.accessibleName()
    line = window.inspector.fixture_form.placing.sides["left"].line
    QTest.keyClicks(line, "5")
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert window.document.plan.fixture(chosen).x == pytest.approx(5 * FOOT)
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert window.canvas.hasFocus()
    assert window.document.selection == {chosen}


def test_undo_after_a_typed_value_is_that_of_the_plan_and_before_that_of_the_typing(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    line = window.inspector.fixture_form.placing.sides["left"].line
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, "5'")
    QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert line.text() == "6'"
    assert window.document.plan.fixture(fixture.id) == fixture
    line.selectAll()
    QTest.keyClicks(line, "4'")
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert window.document.plan.fixture(fixture.id).x == pytest.approx(4 * FOOT)
    QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.plan.fixture(fixture.id) == fixture
    assert line.text() == "6'"
    QTest.keySequence(line, QKeySequence(QKeySequence.StandardKey.Redo))
    assert window.document.plan.fixture(fixture.id).x == pytest.approx(4 * FOOT)
    assert line.text() == "4'"
    line.selectAll()
    QTest.keyClicks(line, "4'")
    QTest.keyClick(line, Qt.Key.Key_Return)
    QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.plan.fixture(fixture.id) == fixture, "typing what was there already is no step"


def test_the_distance_from_the_other_side_counts_from_the_centre_too(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    type_into(window.inspector.fixture_form.placing.sides["right"].line, "30 in")
    assert window.document.plan.fixture(fixture.id).x == pytest.approx(20 * FOOT - 30 * INCH, abs=1e-6)


def test_a_place_beyond_the_walls_is_refused_with_what_there_is(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    row = window.inspector.fixture_form.placing.sides["left"]
    type_into(row.line, "99'")
    assert window.document.plan.fixture(fixture.id) == fixture
    assert row.is_wrong
    assert row.why.text() == "That is beyond the wall: the walls are 20' apart there."
    QTest.keyClick(row.line, Qt.Key.Key_Escape)
    assert row.line.text() == "6'"
    assert not row.is_wrong


def test_a_fixture_says_what_findings_and_sheets_call_it(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    mark = next(row.mark for row in ceiling_sheet(window.document.plan).rows if row.point.fixture.id == fixture.id)
    assert window.inspector.note.isVisible()
    assert window.inspector.note.text() == f"{fixture.id} in findings · {mark} on the ceiling sheet"
    window.document.select([each.id for each in window.document.plan.fixtures])
    assert not window.inspector.note.isVisible()


def test_a_wrong_entry_is_explained_and_kept_and_esc_brings_back_what_was(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    row = window.inspector.fixture_form.placing.sides["front"]
    type_into(row.line, "12 parsecs")
    assert window.document.plan.fixture(fixture.id) == fixture
    assert row.line.text() == "12 parsecs"
    assert row.is_wrong
    assert row.why.isVisible()
    assert "For example" in row.why.text()
    QTest.keyClick(row.line, Qt.Key.Key_Escape)
    assert row.line.text() == "12'"
    assert not row.why.isVisible()


def test_a_half_typed_entry_survives_a_change_of_the_plan(window: MainWindow) -> None:
    window.document.select([])
    row = window.inspector.room_form.ceiling_height
    type_into(row.line, "10' 2", enter=False)
    window.document.apply("Nudge", window.document.plan.__class__(**_fields(window, name="Renamed")))
    assert row.line.text() == "10' 2"


def _fields(window: MainWindow, **values: object) -> dict[str, object]:
    plan = window.document.plan
    return {name: getattr(plan, name) for name in plan.__dataclass_fields__} | values


def test_several_fixtures_show_what_they_have_in_common(window: MainWindow) -> None:
    window.document.select([f.id for f in window.document.plan.fixtures])
    form = window.inspector.fixture_form
    assert form.placing.sides["left"].line.text() == ""
    assert form.placing.sides["left"].line.placeholderText() == "mixed"
    assert form.placing.turned.line.text() == "0°"
    assert form.switch.box.currentIndex() == -1
    type_into(form.placing.turned.line, "90")
    assert {f.rotation_deg for f in window.document.plan.fixtures} == {90.0}
    assert window.document.undo_text == "Turn fixture"
    window.document.undo()
    assert {f.rotation_deg for f in window.document.plan.fixtures} == {0.0}


def test_drop_and_power_and_colour_are_set(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    model = window.document.plan.model(fixture.model)
    window.document.select([fixture.id])
    form = window.inspector.fixture_form
    type_into(form.drop.line, "6 in")
    form.power.box.setCurrentIndex(0)
    form.power.box.activated.emit(0)
    form.colour.box.activated.emit(0)
    now = window.document.plan.fixture(fixture.id)
    assert now.drop == pytest.approx(6 * INCH)
    assert now.setting == 0
    assert now.colour == min(model.colours)
    assert "above the floor" in form.note.text()


def test_a_new_switch_from_the_list_takes_the_fixture(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    box = window.inspector.fixture_form.switch.box
    box.activated.emit(box.count() - 1)
    assert window.document.plan.fixture(fixture.id).group == "C"
    assert "C" in window.plate.cards


def test_a_bench_is_sized_turned_and_given_a_target(window: MainWindow) -> None:
    window.document.select(["bench-1"])
    form = window.inspector.furniture_form
    assert form.target.line.placeholderText() == "room: 100 fc"
    type_into(form.wide.line, "8'")
    type_into(form.top.line, "38")
    assert "ceiling" in form.top.why.text()  # 38 ft
    type_into(form.top.line, '38"')
    type_into(form.target.line, "120")
    form.worker.box.activated.emit(1)
    bench = window.document.plan.piece("bench-1")
    assert (bench.width, bench.top) == (pytest.approx(8 * FOOT), pytest.approx(38 * INCH))
    assert bench.target_lux == pytest.approx(120 * LUX_PER_FC)
    assert bench.worker_side == "back"
    type_into(form.target.line, "")
    assert window.document.plan.piece("bench-1").target_lux is None


def test_a_top_below_the_underside_is_refused_in_words(window: MainWindow) -> None:
    window.document.select(["bench-1"])
    form = window.inspector.furniture_form
    type_into(form.top.line, '20"')
    assert "higher than the underside" in form.top.why.text()
    assert window.document.plan.piece("bench-1").top == pytest.approx(36 * INCH)


def test_the_room_has_height_finishes_and_wishes(window: MainWindow) -> None:
    form = window.inspector.room_form
    assert form.isVisible()
    type_into(form.ceiling_height.line, "9' 6\"")
    type_into(form.floor.share, "35 %")
    form.walls.box.activated.emit(0)
    type_into(form.target.line, "80")
    plan = window.document.plan
    assert plan.room.height == pytest.approx(9.5 * FOOT)
    assert plan.room.floor == Finish("own number", 0.35)
    assert plan.room.walls == form.walls.finishes[0]
    assert plan.targets.lux == pytest.approx(80 * LUX_PER_FC)
    assert window.overlay.scale.target == pytest.approx(80 * LUX_PER_FC)


def test_one_wall_gets_a_finish_of_its_own(window: MainWindow) -> None:
    form = window.inspector.room_form
    form.one_wall.box.setCurrentIndex(2)
    form.one_wall.box.activated.emit(2)
    form.own_finish.box.activated.emit(1)
    room = window.document.plan.room
    assert room.wall_finish(2) == form.own_finish.finishes[0]
    assert room.wall_finish(1) == room.walls
    form.own_finish.box.activated.emit(0)
    assert window.document.plan.room.wall_finishes == ()


def test_a_reflectance_above_what_paint_gives_is_explained(window: MainWindow) -> None:
    form = window.inspector.room_form
    before = window.document.plan
    type_into(form.ceiling.share, "0.99")
    assert "0.95" in form.ceiling.why.text()
    assert form.ceiling.share.text() == "0.99"
    assert window.document.plan == before


def test_metric_shows_and_reads_metres_and_lux(window: MainWindow) -> None:
    QTest.mouseClick(window.title_row.units, Qt.MouseButton.LeftButton)
    form = window.inspector.room_form
    assert window.document.plan.units == "metric"
    assert form.ceiling_height.line.text() == "2.438 m"
    type_into(form.ceiling_height.line, "3")
    assert window.document.plan.room.height == pytest.approx(3.0)
    type_into(form.target.line, "900")
    assert window.document.plan.targets.lux == pytest.approx(900.0)


def test_things_of_two_kinds_are_named(window: MainWindow) -> None:
    window.document.select(["bench-1", window.document.plan.fixtures[0].id])
    assert window.inspector.title.text() == "1 fixture, 1 piece of furniture"
    assert not window.inspector.fixture_form.isVisible()
    assert not window.inspector.furniture_form.isVisible()


def test_units_are_no_step_of_undo_and_no_change_to_save(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    window.document.select([fixture.id])
    row = window.inspector.fixture_form.placing.sides["left"]
    window.document.mark_saved(window.document.settled_plan)
    QTest.mouseClick(window.title_row.units, Qt.MouseButton.LeftButton)
    assert not window.document.is_dirty
    assert window.document.undo_text is None
    QTest.mouseClick(window.title_row.units, Qt.MouseButton.LeftButton)
    type_into(row.line, "4'")
    QTest.mouseClick(window.title_row.units, Qt.MouseButton.LeftButton)
    assert window.document.is_dirty
    window.document.undo()
    assert window.document.plan.units == "metric"
    assert window.document.plan.fixture(fixture.id) == fixture
    assert row.line.text() == "1.829 m"
    assert not window.document.is_dirty
    window.document.redo()
    assert window.document.plan.units == "metric"
    assert window.document.plan.fixture(fixture.id).x == pytest.approx(4 * FOOT)


def test_power_and_colour_go_to_these_to_their_switch_or_to_all(window: MainWindow) -> None:
    plan = window.document.plan
    first, second, third = plan.fixtures  # A, A and B, of one model
    model = plan.model(first.model)
    form = window.inspector.fixture_form
    window.document.select([first.id])

    def settings() -> list[tuple[int, int]]:
        return [(f.setting, f.colour) for f in window.document.plan.fixtures]

    before = settings()
    form.power.box.activated.emit(0 if first.setting else 1)
    assert [now != old for now, old in zip(settings(), before, strict=True)] == [True, False, False]
    window.document.undo()
    form.scope.set_value("switch")
    form.power.box.activated.emit(0 if first.setting else 1)
    assert [now != old for now, old in zip(settings(), before, strict=True)] == [True, True, False]
    form.scope.set_value("all")
    other = next(n for n, kelvin in enumerate(sorted(model.colours)) if kelvin != first.colour)
    form.colour.box.activated.emit(other)
    assert {f.colour for f in window.document.plan.fixtures} == {sorted(model.colours)[other]}
    # The wide reach is not kept for what is selected next.
    window.document.select([third.id])
    assert form.scope.value() == "these"
    assert second.id in [f.id for f in window.document.plan.fixtures]


def test_a_stage_takes_the_fixture_off_the_shopping_list(window: MainWindow) -> None:
    plan = window.document.plan
    window.document.select([f.id for f in plan.fixtures[:2]])
    form = window.inspector.fixture_form
    assert form.stage.value() == "to do"
    form.stage.box.activated.emit(1)
    now = window.document.plan
    assert [now.wiring.stage("fixture", f.id) for f in now.fixtures] == ["existing", "existing", None]
    bought = {line.key: line.quantity for line in bill_of_materials(now).lines}
    assert bought[plan.fixtures[0].model] == 1
    assert window.document.undo_text == "Set stage"
    window.document.select([f.id for f in plan.fixtures])
    assert form.stage.box.placeholderText() == "mixed"
