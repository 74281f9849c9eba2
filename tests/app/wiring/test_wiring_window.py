"""The wiring window with real keys and clicks: cells that are typed, stages, places picked on the plan, prints."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QPoint, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from app.document import Document
from app.prints.wiring.route_plan import fixture_marks
from app.window import MainWindow
from app.wiring.dialog import WiringDialog
from core.demo import demo_plan
from core.light.engine import LightEngine
from core.plan import Furniture, Opening
from core.plan.edits import added
from core.plan.wiring import Wiring
from core.shopping import bill_of_materials
from core.units import FOOT
from core.wiring import wired
from core.wiring.cautions import CAUTIONS, PLANNING_AID
from core.wiring.decisions import with_lead
from tests.core.wiring.shops import fixture, shop

LEFT = Qt.MouseButton.LeftButton
PLAN = shop([fixture(1, 4, 8), fixture(2, 10, 8, "B")])


@pytest.fixture
def document(qapp):
    return Document(PLAN)


@pytest.fixture
def dialog(document, qtbot):
    made = WiringDialog(document)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def type_into_cell(table, row, column, text):
    """Begin an entry with F2, type over it, Enter."""
    table.setFocus()
    table.setCurrentCell(row, column)
    QTest.keyClick(table, Qt.Key.Key_F2)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # the editor of the cell before
    (line,) = table.findChildren(QLineEdit)
    line.selectAll()
    QTest.keyClick(line, Qt.Key.Key_Delete)
    QTest.keyClicks(line, text)
    QTest.keyClick(line, Qt.Key.Key_Return)
    QApplication.processEvents()


def settle(dialog):
    dialog._rest.stop()
    dialog.refresh()


def test_circuits_are_typed(dialog, document):
    table = dialog.circuits.table
    dialog.tabs.setCurrentWidget(dialog.circuits)
    type_into_cell(table, 0, 1, "20 A")
    type_into_cell(table, 0, 2, "12")
    type_into_cell(table, 0, 4, "no")
    circuit = document.plan.wiring.circuits[0]
    assert (circuit.breaker, circuit.conductor, circuit.continuous) == (20, 12, False)
    settle(dialog)
    assert table.item(0, 7).text() == "20.0"
    type_into_cell(table, 0, 5, "Saw 7, Radio 0.5 A")
    assert [(o.name, o.amperes) for o in document.plan.wiring.circuits[0].others] == [("Saw", 7.0), ("Radio", 0.5)]
    before = document.plan
    type_into_cell(table, 0, 1, "17")
    assert document.plan is before
    assert "15, 20, 25 or 30" in dialog.circuits.said.text()
    type_into_cell(table, 0, 3, "A Q")
    assert "There is no group Q" in dialog.circuits.said.text()
    type_into_cell(table, 0, 5, "Saw")
    assert "name and amperes" in dialog.circuits.said.text()
    document.undo()
    document.undo()
    assert document.plan.wiring.circuits[0].continuous


def test_a_group_moves_to_a_new_circuit_and_back(dialog, document):
    QTest.mouseClick(dialog.circuits.add, LEFT)
    settle(dialog)
    type_into_cell(dialog.circuits.table, 1, 3, "b")
    assert [c.groups for c in document.plan.wiring.circuits] == [("A",), ("B",)]
    settle(dialog)
    dialog.circuits.table.setCurrentCell(1, 0)
    QTest.mouseClick(dialog.circuits.remove, LEFT)
    settle(dialog)
    assert len(document.plan.wiring.circuits) == 1
    assert "To put right (1)" in [dialog.tabs.tabText(n) for n in range(dialog.tabs.count())]


def test_what_is_assumed_is_marked_and_taken_over(qtbot):
    document = Document(replace(PLAN, wiring=Wiring()))
    dialog = WiringDialog(document)
    qtbot.addWidget(dialog)
    assert "(assumed)" in dialog.circuits.table.item(0, 0).text()
    QTest.mouseClick(dialog.circuits.take, LEFT)
    settle(dialog)
    assert wired(document.plan).assumed == frozenset()
    assert "(assumed)" not in dialog.circuits.table.item(0, 0).text()
    assert document.undo_text == "Decide the wiring as assumed"


def test_dimmers_and_boxes_are_typed(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.switches)
    type_into_cell(dialog.switches.groups, 0, 1, "forward")
    assert document.plan.wiring.dimmers[0].kind == "forward phase"
    settle(dialog)
    assert "can be dimmed" in dialog.switches.groups.item(0, 5).text()
    type_into_cell(dialog.switches.groups, 0, 2, "lots")
    assert "watts of LED" in dialog.switches.said.text()
    type_into_cell(dialog.switches.boxes, 0, 2, "3' 6\"")
    assert document.plan.wiring.switch_boxes[0].height == pytest.approx(3.5 * FOOT)
    type_into_cell(dialog.switches.boxes, 0, 1, "A")
    assert document.plan.wiring.switch_boxes[0].groups == ("A",)


def test_stages_of_cable_and_boxes(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.cable)
    marked = []
    dialog.cable.marked.connect(marked.append)
    dialog.cable.table.selectRow(0)
    assert marked[-1] == frozenset({"panel > s1"})
    QTest.mouseClick(dialog.cable.buttons["existing"], LEFT)
    settle(dialog)
    assert wired(document.plan).routing.runs[0].to_buy == 0.0
    dialog.tabs.setCurrentWidget(dialog.boxes)
    dialog.boxes.table.selectAll()
    QTest.mouseClick(dialog.boxes.buttons["done"], LEFT)
    settle(dialog)
    assert all(run.to_buy == 0.0 for run in wired(document.plan).routing.runs)
    assert dialog.cable.note.text().startswith('0" to lay')


def test_cable_and_boxes_name_fixtures_as_the_sheets_do(dialog, document):
    marks = fixture_marks(document.plan)
    runs = wired(document.plan).routing.runs
    ends = [dialog.cable.table.item(row, 1).text() for row in range(dialog.cable.table.rowCount())]
    assert [end for end, run in zip(ends, runs, strict=True) if run.end.kind == "fixture"] == [
        marks[run.end.id] for run in runs if run.end.kind == "fixture"
    ]
    named = {dialog.boxes.table.item(row, 0).text() for row in range(dialog.boxes.table.rowCount())}
    assert not any(fixture.id in name for fixture in document.plan.fixtures for name in (*ends, *named))


def test_figures_can_be_changed_and_taken_back(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.figures)
    for name, text in (("waste", "0.2"), ("slack_at_box", '18"'), ("edition", "NFPA 70, 2020")):
        line = dialog.figures.rows[name].line
        line.setFocus()
        line.selectAll()
        QTest.keyClicks(line, text)
        QTest.keyClick(line, Qt.Key.Key_Return)
    code = document.plan.wiring.code
    assert (code.waste, code.slack_at_box, code.edition) == (0.2, pytest.approx(1.5 * FOOT), "NFPA 70, 2020")
    settle(dialog)
    QTest.mouseClick(dialog.figures.back, LEFT)
    assert document.plan == PLAN


def test_cautions_are_always_in_the_window(dialog):
    shown = " ".join(label.text() for label in dialog.findChildren(type(dialog.said)))
    for text in (PLANNING_AID, *CAUTIONS):
        assert text in shown


def test_prints_are_saved_or_it_is_said_why_not(dialog, tmp_path):
    dialog.save_permit_sheet(tmp_path / "permit.pdf")
    assert (tmp_path / "permit.pdf").read_bytes().startswith(b"%PDF")
    dialog.save_settings_card(tmp_path / "none" / "card.pdf")
    assert "card.pdf could not be saved" in dialog.said.text()
    assert dialog.said.property("role") == "danger"


def test_panel_is_placed_by_a_click_and_cable_shown_by_the_menu(qtbot):
    QSettings().clear()
    window = MainWindow(demo_plan("bicycle_garage"), engine=LightEngine(step=0.6))
    qtbot.addWidget(window, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    window.resize(1280, 800)
    window.show()
    qtbot.waitExposed(window)
    try:
        assert not window.wiring.sheet.isVisible()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        QTest.keySequence(window.canvas, "Ctrl+Shift+E")
        assert window.wiring.sheet.isVisible()
        window.wiring.place_panel()
        at = window.canvas.view.to_screen(10 * FOOT, 21 * FOOT).toPoint()
        QTest.mouseClick(window.checks.sheet, LEFT, pos=QPoint(at.x(), at.y()))
        panel = window.document.plan.wiring.panel
        assert panel.y == pytest.approx(22 * FOOT)
        assert panel.x == pytest.approx(10 * FOOT, abs=0.05)
        assert window.document.undo_text == "Place the panel"
    finally:
        window.checks.shutdown()
        window.solver.shutdown()


def choose(choice, text):
    """Pick an entry of a list by keys: its first letters, then Enter."""
    choice.box.setFocus()
    index = [choice.box.itemText(n) for n in range(choice.box.count())].index(text)
    choice.box.setCurrentIndex(index)
    choice.box.activated.emit(index)


def test_breaker_stage_volts_and_the_garages_receptacles_are_typed(dialog, document):
    table = dialog.circuits.table
    type_into_cell(table, 0, 9, "existing")
    type_into_cell(table, 0, 10, "240 V")
    type_into_cell(table, 0, 11, "yes")
    (circuit,) = document.plan.wiring.circuits
    assert (circuit.volts, circuit.garage_receptacles) == (240, True)
    assert document.plan.wiring.stage("breaker", circuit.id) == "existing"
    assert not any(line.key.startswith("breaker") for line in bill_of_materials(document.plan).lines)
    settle(dialog)
    assert "required receptacle circuit" in dialog.findings.toPlainText()
    assert "210.11(C)(4)" in dialog.findings.toPlainText()
    type_into_cell(table, 0, 10, "24")
    assert "120, 240 or 277 V" in dialog.circuits.said.text()
    type_into_cell(table, 0, 9, "soon")
    assert "to do, existing or done" in dialog.circuits.said.text()


def test_a_machine_on_the_lights_circuit_is_found(qtbot):
    saw = Furniture("m1", "machine", "Table saw", 2.0, 2.0, 1.0, 1.0, 0.9, 0.0)
    document = Document(added(PLAN, saw))
    dialog = WiringDialog(document)
    qtbot.addWidget(dialog)
    dialog.show()
    type_into_cell(dialog.circuits.table, 0, 5, "table saw 12")
    settle(dialog)
    assert document.plan.wiring.circuits[0].others[0].machine == "m1"
    assert "Table saw is on the lights' circuit" in dialog.findings.toPlainText()


def test_a_door_a_place_and_a_stage_of_a_switch_box_are_typed(qtbot):
    door = Opening("door-1", "door", 0, 3.0, 0.9, 2.0, name="Side door")
    document = Document(replace(PLAN, room=replace(PLAN.room, openings=(door,))))
    dialog = WiringDialog(document)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.tabs.setCurrentWidget(dialog.switches)
    boxes = dialog.switches.boxes
    type_into_cell(boxes, 0, 3, "side DOOR")
    assert document.plan.wiring.switch_boxes[0].opening == "door-1"
    settle(dialog)
    assert boxes.item(0, 3).text() == "Side door"
    type_into_cell(boxes, 0, 3, "barn door")
    assert "the doors are: Side door" in dialog.switches.said.text()
    type_into_cell(boxes, 0, 4, "12'")
    assert document.plan.wiring.switch_boxes[0].x == pytest.approx(12 * FOOT)
    type_into_cell(boxes, 0, 4, "50'")
    assert "ends before that" in dialog.switches.said.text()
    type_into_cell(boxes, 0, 5, "done")
    assert document.plan.wiring.stage("switch", "s1") == "done"
    assert not any(line.key == "switch" for line in bill_of_materials(document.plan).lines)
    assert any(line.key.startswith("plate") for line in bill_of_materials(document.plan).lines)


def test_one_wall_is_reached_in_its_own_way(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.switches)
    page = dialog.switches
    assert not wired(document.plan).boxes[0].closed
    choose(page.own_access, "Closed")
    assert document.plan.wiring.wall_access == ("closed", None, None, None)
    assert wired(document.plan).boxes[0].closed  # the switch box is on the first wall
    settle(dialog)
    choose(page.one_wall, page.one_wall.box.itemText(2))
    assert page.own_access.value() is None
    choose(page.own_access, "From the attic")
    assert document.plan.wiring.wall_access == ("closed", None, "from the attic", None)
    choose(page.own_access, "as the other walls")
    assert document.plan.wiring.wall_access == ("closed", None, None, None)


def test_the_lowest_level_of_a_dimmer_is_typed(qtbot):
    document = Document(replace(PLAN, groups=(replace(PLAN.groups[0], dimmable=True), *PLAN.groups[1:])))
    dialog = WiringDialog(document)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.tabs.setCurrentWidget(dialog.switches)
    type_into_cell(dialog.switches.groups, 0, 6, "5 %")
    assert document.plan.groups[0].minimum == pytest.approx(0.05)
    settle(dialog)
    type_into_cell(dialog.switches.groups, 1, 6, "5 %")
    assert "has no dimmer" in dialog.switches.said.text()


def test_nameplates_are_typed_and_count(dialog, document):
    dialog.tabs.setCurrentWidget(dialog.nameplates)
    table = dialog.nameplates.table
    assert table.item(0, 4).text() == "1.00 A at 120 V"
    type_into_cell(table, 0, 3, "1.25 A")
    assert wired(document.plan).loads[0].total == pytest.approx(2.5)
    settle(dialog)
    assert table.item(0, 4).text() == "1.25 A"
    type_into_cell(table, 0, 3, "much")
    assert "amperes printed" in dialog.nameplates.said.text()
    assert table.item(0, 3).text() == "1.25"
    type_into_cell(table, 0, 3, "")
    assert document.plan.wiring.nameplates == ()


def test_leads_are_listed_with_their_length_and_removed(qtbot):
    document = Document(with_lead(PLAN, "A", 4 * FOOT, 6 * FOOT, 1 * FOOT))
    dialog = WiringDialog(document)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.tabs.setCurrentWidget(dialog.leads)
    table = dialog.leads.table
    assert "too short" in table.item(0, 3).text()
    type_into_cell(table, 0, 1, "6'")
    assert document.plan.wiring.leads[0].length == pytest.approx(6 * FOOT)
    settle(dialog)
    assert "reaches" in table.item(0, 3).text()
    type_into_cell(table, 0, 1, "-3")
    assert dialog.leads.said.text()
    assert table.item(0, 1).text() == "6'"
    type_into_cell(dialog.circuits.table, 0, 1, "20")
    type_into_cell(dialog.circuits.table, 0, 2, "12")
    settle(dialog)
    assert "lead of group A is too thin" in dialog.findings.toPlainText()
    type_into_cell(table, 0, 2, "12")
    settle(dialog)
    assert "too thin" not in dialog.findings.toPlainText()
    table.setCurrentCell(0, 0)
    QTest.mouseClick(dialog.leads.remove, LEFT)
    assert document.plan.wiring.leads == ()
