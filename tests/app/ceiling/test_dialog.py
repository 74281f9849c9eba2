"""The ceiling sheet in its window: choosing walls, entering what was measured and cut, nudging, saving; real keys."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton

from app.ceiling.dialog import CeilingDialog
from app.ceiling.feed_form import FeedForm, screws_at
from app.document import Document
from app.solver import Solver
from core.ceiling import with_as_built
from core.light.engine import LightEngine
from core.plan import Furniture, JoistZone
from core.plan.ceiling import AsBuilt, Diagonal, WallLength
from core.plan.edits import with_model
from core.units import FOOT, INCH, UnitSystem
from tests.core.ceiling.rooms import plan_of, rectangle

JOISTS = JoistZone("j", 90.0, 16 * INCH, 8 * INCH, 1.5 * INCH)
BENCH = Furniture("bench", "bench", "Bench", 6 * FOOT, 3 * FOOT, 5 * FOOT, 2 * FOOT, 0.9)


class QuickEngine(LightEngine):
    """An engine that is always content with the quick picture: these tests ask what is shown, not how exact it is."""

    def solve(self, plan, **how):
        return super().solve(plan, **{**how, "quick": True})


@pytest.fixture
def opened(qtbot):
    plan = replace(plan_of(rectangle(24, 20), [(24.5 / 12, 5), (12, 5)], joists=(JOISTS,)), furniture=(BENCH,))
    document = Document(plan)
    solver = Solver(document, QuickEngine(step=0.6))
    dialog = CeilingDialog(document, solver)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitExposed(dialog)
    yield document, dialog
    dialog.close()
    solver.shutdown()


def editors(table) -> list[QLineEdit]:
    return [line for line in table.findChildren(QLineEdit) if line.isVisible()]


def type_in(qtbot, dialog, table, row: int, column: int, text: str) -> None:
    """Type a text into a cell as a person does: choose it, type, Enter."""
    dialog.tabs.setCurrentWidget(table.parent())
    table.setFocus()
    table.setCurrentCell(row, column)
    QTest.keyClick(table, Qt.Key.Key_F2)
    (editor,) = editors(table)
    editor.selectAll()
    if text:
        QTest.keyClicks(editor, text)
    else:
        QTest.keyClick(editor, Qt.Key.Key_Delete)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not editors(table))


def settle(qtbot, dialog) -> None:
    qtbot.waitUntil(lambda: not dialog._rest.isActive())


def choose(choice, text: str) -> None:
    choice.box.setFocus()
    choice.box.setCurrentIndex(choice.box.findText(text))
    choice.box.activated.emit(choice.box.currentIndex())


def test_walls_are_chosen_and_a_flat_pair_is_refused(qtbot, opened) -> None:
    document, dialog = opened
    choose(dialog.measures.wall_a, "left wall (4–1)")
    assert document.plan.ceiling.reference_walls is None  # B is the left wall too, or side by side: refused at first
    choose(dialog.measures.wall_b, "front wall (1–2)")
    assert document.plan.ceiling.reference_walls == (3, 0)
    settle(qtbot, dialog)
    assert dialog.sheet.reference.names == ("left wall (4–1)", "front wall (1–2)")
    choose(dialog.measures.wall_b, "right wall (2–3)")
    assert document.plan.ceiling.reference_walls == (3, 0)
    assert "side by side" in dialog.measures.why.text()
    document.undo()
    assert document.plan.ceiling.reference_walls is None


def test_measured_lengths_are_typed_as_a_tape_reads(qtbot, opened) -> None:
    document, dialog = opened
    table = dialog.measures.table
    for row, text in enumerate(("24'", "20'", "24'", "20'")):
        type_in(qtbot, dialog, table, row, 2, text)
        settle(qtbot, dialog)
    assert [w.length / FOOT for w in document.plan.ceiling.wall_lengths] == pytest.approx([24, 20, 24, 20])
    assert "diagonal from corner 1 to corner 3" in dialog.measures.state.text()
    type_in(qtbot, dialog, table, 4, 2, "31' 3 7/8\"")
    settle(qtbot, dialog)
    (diagonal,) = document.plan.ceiling.diagonals
    assert diagonal == Diagonal(0, 2, diagonal.length)
    assert diagonal.length / INCH == pytest.approx(375.875)
    assert dialog.sheet.survey.is_certain
    assert "The room is known" in dialog.measures.state.text()
    type_in(qtbot, dialog, table, 0, 2, "")
    settle(qtbot, dialog)
    assert WallLength(0, 24 * FOOT) not in document.plan.ceiling.wall_lengths


def test_the_dialog_fits_a_small_window(opened) -> None:
    _document, dialog = opened
    dialog.resize(960, 560)
    for part in (dialog.measures, dialog.boxes):
        dialog.tabs.setCurrentWidget(part)
        for row in range(len(dialog.sheet.rows)):
            dialog.boxes.table.setCurrentCell(row, 0)
            least = dialog.minimumSizeHint()
            assert least.boundedTo(QSize(960, 560)) == least


def test_what_cannot_be_read_is_explained_and_changes_nothing(qtbot, opened) -> None:
    document, dialog = opened
    before = document.plan
    type_in(qtbot, dialog, dialog.measures.table, 0, 2, "about 24")
    assert document.plan is before
    assert "For example" in dialog.measures.state.text()
    assert dialog.measures.table.item(0, 2).text() == ""
    type_in(qtbot, dialog, dialog.boxes.table, 0, 4, "hm")
    assert document.plan is before
    assert "For example" in dialog.boxes.note.text()


def test_impossible_lengths_are_told_and_the_sheet_stays(qtbot, opened) -> None:
    _document, dialog = opened
    for row, text in ((0, "24'"), (1, "20'"), (4, "90'")):
        type_in(qtbot, dialog, dialog.measures.table, row, 2, text)
        settle(qtbot, dialog)
    assert "diagonal from corner 1 to corner 3" in dialog.measures.why.text()
    assert dialog.preview.book is not None
    assert len(dialog.sheet.rows) == 2


def test_a_cut_box_is_entered_listed_and_taken_into_the_plan(qtbot, opened) -> None:
    document, dialog = opened
    choose(dialog.measures.wall_a, "front wall (1–2)")
    choose(dialog.measures.wall_b, "left wall (4–1)")
    settle(qtbot, dialog)
    type_in(qtbot, dialog, dialog.boxes.table, 1, 4, "5' 0 1/2\"")
    assert document.plan.ceiling.as_built == ()
    assert "other wall" in dialog.boxes.note.text()
    type_in(qtbot, dialog, dialog.boxes.table, 1, 5, "11' 11 1/2\"")
    settle(qtbot, dialog)
    (entry,) = document.plan.ceiling.as_built
    assert entry.fixture == "f2"
    assert isinstance(entry, AsBuilt)
    dialog.boxes.table.setCurrentCell(1, 0)
    assert "11/16" in dialog.boxes.note.text()  # half an inch each way: 0.707 in
    qtbot.mouseClick(dialog.boxes.take, Qt.MouseButton.LeftButton)
    fixture = document.plan.fixture("f2")
    assert (fixture.x / INCH, fixture.y / INCH) == pytest.approx((143.5, 60.5))
    assert document.plan.ceiling.as_built == ()
    document.undo()
    assert document.plan.fixture("f2").x / INCH == pytest.approx(144.0)


def test_a_nudge_is_weighed_in_light_before_it_is_done(qtbot, opened) -> None:
    document, dialog = opened
    dialog.tabs.setCurrentWidget(dialog.boxes)
    first = dialog.sheet.rows.index(next(r for r in dialog.sheet.rows if r.point.fixture.id == "f1"))
    dialog.boxes.table.setCurrentCell(first, 0)
    buttons = [dialog.boxes.moves.itemAt(n).widget() for n in range(dialog.boxes.moves.count())]
    button = next(b for b in buttons if isinstance(b, QPushButton) and "clear bay" in b.text())
    before = document.plan
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Bench" in dialog.boxes.cost.text(), timeout=60_000)
    assert "→" in dialog.boxes.cost.text()
    assert "fc" in dialog.boxes.cost.text()
    assert document.plan is before
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert document.plan.fixture("f1").x / INCH == pytest.approx(27.5, abs=0.05)
    assert document.undo_text is not None


def test_saving_all_pages_one_page_and_where_it_cannot_be(qtbot, opened, tmp_path) -> None:
    _document, dialog = opened
    # The whole sheet waits for the light of its pages, and the dialog does not close over it unasked.
    dialog.save_to(tmp_path / "sheet.pdf")
    assert "as soon as" in dialog.said.text()
    dialog.close()
    assert dialog.isVisible()
    assert "not saved yet" in dialog.said.text()
    qtbot.waitUntil(lambda: (tmp_path / "sheet.pdf").exists(), timeout=60_000)
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    assert "100 %" in dialog.said.text()
    titles = [page.title for page in dialog.preview.book.pages]
    assert "Light, all switches on" in titles
    dialog.save_to(tmp_path / "page.svg")
    assert b"<svg" in (tmp_path / "page.svg").read_bytes()
    dialog.save_to(tmp_path / "page.png")
    assert not QImage(str(tmp_path / "page.png")).isNull()
    dialog.save_to(tmp_path / "not there" / "sheet.pdf")
    assert "does not exist" in dialog.said.text()


def test_pages_are_turned_by_keys_and_keep_their_place_when_the_plan_changes(qtbot, opened) -> None:
    document, dialog = opened
    dialog.preview.sheet.setFocus()
    for _ in range(2):
        QTest.keyClick(dialog.preview.sheet, Qt.Key.Key_PageDown)
    assert dialog.preview.book.pages[dialog.preview.number].title == "Box centres"
    choose(dialog.measures.paper, "A4, 210 x 297 mm")
    settle(qtbot, dialog)
    assert dialog.preview.book.imprint.paper.name == "A4"
    assert dialog.preview.book.pages[dialog.preview.number].title == "Box centres"
    assert document.plan.ceiling.paper == "A4"


def test_a_book_is_printed_to_scale(qtbot, opened, tmp_path) -> None:
    printing = pytest.importorskip("app.ceiling.printing")
    from PySide6.QtPrintSupport import QPrinter

    _document, dialog = opened
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setFullPage(True)
    assert printing.print_on(dialog.preview.book, printer)
    assert (tmp_path / "printed.pdf").read_bytes().startswith(b"%PDF")


def test_the_window_opens_it_by_its_key(qtbot) -> None:
    from app.window import MainWindow

    window = MainWindow(plan_of(rectangle(9, 8), [(5, 4)]), engine=LightEngine(step=0.6))
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    window.menus.ceiling.trigger()
    (dialog,) = window.findChildren(CeilingDialog)
    assert dialog.isVisible()
    assert window.menus.ceiling.shortcut().toString() == "Ctrl+P"
    # Its light is on its way, and comes after the findings that the window is at.
    assert dialog.light.is_busy
    assert not dialog.print.isEnabled()
    dialog.close()
    window.solver.shutdown()


def test_how_a_model_is_fed_is_entered_and_moves_the_box(qtbot, opened) -> None:
    document, dialog = opened
    model = document.plan.models[0]
    form = FeedForm(model, UnitSystem.US)
    qtbot.addWidget(form)
    form.show()
    for row, text in ((form.along, '6"'), (form.screw_along, "3'"), (form.screw_across, '4"'), (form.weight, "11 lb")):
        row.line.selectAll()
        QTest.keyClicks(row.line, text)
        QTest.keyClick(row.line, Qt.Key.Key_Return)
    assert form.feeding.x / INCH == pytest.approx(6)
    assert {(round(x / INCH, 3), round(y / INCH, 3)) for x, y in form.feeding.screws} == {
        (-18, -2),
        (18, -2),
        (18, 2),
        (-18, 2),
    }
    assert form.feeding.weight == pytest.approx(11 * 0.45359237)
    form.along.line.selectAll()
    QTest.keyClicks(form.along.line, "9'")
    QTest.keyClick(form.along.line, Qt.Key.Key_Return)
    assert form.along.is_wrong  # beyond the end of the body
    assert form.feeding.x / INCH == pytest.approx(6)
    document.apply("Say how it is fed", with_model(document.plan, replace(model, feeding=form.feeding)))
    settle(qtbot, dialog)
    row = next(r for r in dialog.sheet.rows if r.point.fixture.id == "f2")
    assert row.place[0] / INCH == pytest.approx(150.0)


def test_one_screw_two_or_four() -> None:
    assert screws_at(0.0, 0.0, (0.1, 0.0)) == ((0.1, 0.0),)
    assert set(screws_at(1.0, 0.0)) == {(-0.5, 0.0), (0.5, 0.0)}
    assert len(screws_at(1.0, 0.4)) == 4


def test_what_the_cut_places_do_to_the_light(qtbot, opened) -> None:
    document, dialog = opened
    plan = with_as_built(document.plan, AsBuilt("f2", 0, 3, 4 * FOOT, 10 * FOOT), "f2")
    document.apply("Enter where A2 was cut", plan)
    settle(qtbot, dialog)
    dialog.tabs.setCurrentWidget(dialog.boxes)
    qtbot.mouseClick(dialog.boxes.light, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Bench" in dialog.boxes.cost.text(), timeout=60_000)
    before, after = (float(v) for v in dialog.boxes.cost.text().split("Bench ")[1].split(" fc")[0].split(" → "))
    assert after > before  # the fixture came nearer to the bench
