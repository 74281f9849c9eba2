"""Data sheet form, table of settings, shopping list, cautions and keys."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QLabel

from app.dialogs.data_sheet import DataSheetDialog
from app.dialogs.data_sheet_model import blank_model
from app.dialogs.data_sheet_readers import beam_exponent, beam_width, read_colours, read_settings, show_settings
from app.dialogs.reading_matter import CAUTION_IN_SHORT, CAUTIONS, KEYS, CautionsDialog, KeysDialog
from app.dialogs.settings_table import SettingsTable
from app.dialogs.shopping import ShoppingDialog
from app.own_catalogue import own_models, own_path
from app.window import MainWindow
from core.plan import Model, PowerSetting
from core.shopping import COLUMNS, bill_of_materials
from core.units import FOOT, INCH, LUX_PER_FC, UnitSystem
from tests.app.shell.conftest import answer_next, type_into

LEFT = Qt.MouseButton.LeftButton

# Written for this test after the layout of ANSI/IES LM-63-2002: a downlight, 3 vertical angles, 1 plane.
LM63 = """IESNA:LM-63-2002
[TEST] invented
[LUMINAIRE] Invented downlight
TILT=NONE
1 -1 1 3 1 1 1 -0.5 0 0
1 1 12
0 45 90
0
500 300 0
"""


@pytest.fixture
def form(qtbot) -> DataSheetDialog:  # type: ignore[no-untyped-def]
    dialog = DataSheetDialog(blank_model(), UnitSystem.US, "From a data sheet")
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitExposed(dialog)
    return dialog


def save(form: DataSheetDialog) -> None:
    QTest.mouseClick(form.buttons.button(QDialogButtonBox.StandardButton.Save), LEFT)


def test_a_data_sheet_becomes_an_entry(form: DataSheetDialog) -> None:
    type_into(form.name.line, "Hall strip")
    type_into(form.length.line, "5'")
    type_into(form.opening_length.line, "4' 10")
    type_into(form.settings.line, "30 W 3600 lm; 45 W, 5400 lm")
    type_into(form.colours.line, "5000, 3500K")
    type_into(form.cri.line, "92")
    type_into(form.price.line, "$48.50")
    save(form)
    model = form.model
    assert form.result() == 1
    assert model.name == "Hall strip"
    assert model.length == pytest.approx(5 * FOOT)
    assert model.opening_length == pytest.approx(4 * FOOT + 10 * INCH)
    assert model.settings == (PowerSetting(30.0, 3600.0), PowerSetting(45.0, 5400.0))
    assert model.colours == (3500, 5000)
    assert (model.cri, model.price) == (92, 48.5)


@pytest.mark.parametrize(
    ("field", "text", "told"),
    [
        ("settings", "0 W 40 lm", "above zero"),
        ("settings", "40", "watts and lumens"),
        ("settings", "40 W 44000 lm", "lm per watt"),
        ("colours", "warm white", "kelvin"),
        ("colours", "40", "1000 K"),
        ("cri", "101", "outside"),
        ("length", "long", "For example"),
    ],
)
def test_wrong_figures_are_explained_in_place_and_keep_the_form_open(
    form: DataSheetDialog, field: str, text: str, told: str
) -> None:
    type_into(form.name.line, "Hall strip")
    row = getattr(form, field)
    type_into(row.line, text)
    assert told in row.why.text()
    assert row.line.text() == text
    save(form)
    assert form.isVisible()
    assert "Correct first" in form.problem.text()


def test_a_nameless_entry_and_an_opening_beyond_the_body_are_refused(form: DataSheetDialog) -> None:
    save(form)
    assert "name" in form.problem.text()
    type_into(form.name.line, "Odd")
    type_into(form.opening_length.line, "9'")
    save(form)
    assert "larger than the body" in form.problem.text()
    assert form.isVisible()


def test_an_lm63_file_fills_in_what_it_says(form: DataSheetDialog, tmp_path: Path) -> None:
    path = tmp_path / "downlight.ies"
    path.write_text(LM63, encoding="ascii")
    form.read_file(str(path))
    model = form.model
    assert model.beam == "web"
    assert model.web is not None
    assert model.name == "Invented downlight"
    assert model.settings[0].watts == pytest.approx(12.0)
    assert model.settings[0].lumens == pytest.approx(model.web.flux, abs=0.1)
    assert model.opening == "round"
    assert model.opening_width == pytest.approx(0.5 * FOOT)  # -0.5: round, 0.5 ft across (units 1: feet)
    save(form)
    assert form.result() == 1


def test_a_file_that_is_no_lm63_is_named_and_changes_nothing(form: DataSheetDialog, tmp_path: Path) -> None:
    path = tmp_path / "letter.ies"
    path.write_text("Dear customer,\n", encoding="ascii")
    before = form.model
    form.read_file(str(path))
    assert "letter.ies" in form.problem.text()
    assert form.model == before


def test_beam_angle_and_exponent_are_inverse() -> None:
    # Lambertian light falls to half at 60 degrees, so its full beam angle is 120: cos 60 = 1/2.
    assert beam_exponent(120.0) == pytest.approx(1.0)
    assert beam_width(1.0) == pytest.approx(120.0)
    assert beam_width(beam_exponent(38.0)) == pytest.approx(38.0)


def test_power_settings_read_what_they_show() -> None:
    settings = (PowerSetting(30.0, 3600.0), PowerSetting(45.5, 5400.0))
    assert read_settings(show_settings(settings)) == settings
    assert read_colours("5000; 3000 K,4000") == (3000, 4000, 5000)


def test_a_new_entry_appears_on_the_shelf_and_stays_for_the_next_plan(window: MainWindow) -> None:
    def fill(dialog: DataSheetDialog) -> None:
        type_into(dialog.name.line, "My strip")
        save(dialog)

    answer_next(fill)  # type: ignore[arg-type]
    QTest.mouseClick(window.shelf.new_entry, LEFT)
    mine = [model for model in own_models() if model.name == "My strip"]
    assert len(mine) == 1
    assert not mine[0].is_example
    item = next(item for item in window.shelf.items if item.model == mine[0])
    QTest.keyClick(item, Qt.Key.Key_Return)
    assert window.document.plan.fixtures[-1].model == mine[0].id
    assert mine[0] in window.document.plan.models


def test_an_edited_entry_changes_the_fixtures_that_hang(window: MainWindow) -> None:
    model: Model = window.document.plan.models[0]

    def fill(dialog: DataSheetDialog) -> None:
        type_into(dialog.settings.line, "20 W 2500 lm")
        save(dialog)

    window.document.select([window.document.plan.fixtures[0].id])
    answer_next(fill)  # type: ignore[arg-type]
    QTest.mouseClick(window.inspector.fixture_form.data_sheet, LEFT)
    assert window.document.plan.model(model.id).settings == (PowerSetting(20.0, 2500.0),)
    assert window.document.undo_text == f"Change data sheet of {model.name}"


def test_a_damaged_own_catalogue_is_said_and_left_alone(open_window) -> None:  # type: ignore[no-untyped-def]
    own_path().parent.mkdir(parents=True, exist_ok=True)
    own_path().write_text('[{"id": 3}]', encoding="utf-8")
    window = open_window()
    assert "own fixtures" in window.status.message.text()
    assert own_path().read_text(encoding="utf-8") == '[{"id": 3}]'


def test_the_table_lists_every_setting_and_sets_the_switches(lit: MainWindow) -> None:
    lit.show_settings_table()
    table = lit.findChild(SettingsTable)
    assert table is not None
    rows = [table.table.item(row, 0).text() for row in range(table.table.rowCount())]
    assert rows == ["All on", "1  Everything", "2  Sweep up", "A alone", "B alone", "All off"]
    fc = lit.reading.at({"A": 1.0, "B": 0.0}).room.average / LUX_PER_FC
    assert float(table.table.item(3, 1).text().replace(",", "")) == pytest.approx(fc, abs=0.5)
    table.table.setCurrentCell(rows.index("2  Sweep up"), 0)
    QTest.keyClick(table.table, Qt.Key.Key_Return)
    assert lit.switches.levels == {"A": 0.0, "B": 0.5}
    table.close()


def test_the_shopping_list_is_shown_copied_and_saved(window: MainWindow, tmp_path: Path) -> None:
    window.show_shopping_list()
    dialog = window.findChild(ShoppingDialog)
    assert dialog is not None
    bill = bill_of_materials(window.document.plan)
    assert dialog.table.rowCount() == len(bill.lines)
    assert dialog.total.text() == f"Total ${bill.total:,}"
    assert "placeholder" in dialog.remark.text()
    assert any(label.text() == CAUTION_IN_SHORT for label in dialog.findChildren(QLabel))
    QTest.mouseClick(dialog.copy, LEFT)
    assert bill.lines[0].item in QGuiApplication.clipboard().text()
    dialog.save_to(tmp_path / "list.csv")
    with (tmp_path / "list.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert tuple(rows[0]) == COLUMNS
    assert rows[1][0] == bill.lines[0].item
    dialog.save_to(tmp_path / "no folder" / "list.csv")
    assert "Not saved" in dialog.said.text()
    dialog.close()


def test_the_list_follows_the_plan_and_shows_where_a_line_belongs(window: MainWindow) -> None:
    window.show_shopping_list()
    dialog = window.findChild(ShoppingDialog)
    assert dialog is not None
    before = dialog.total.text()
    window.bringing_in.place({"what": "fixture", "model": window.document.plan.models[0].id})
    assert dialog.total.text() != before
    dialog.table.selectRow(0)
    assert window.document.selection == frozenset(dialog.bill.lines[0].places)
    dialog.close()


def test_cautions_defer_to_code_and_licence(qtbot) -> None:  # type: ignore[no-untyped-def]
    dialog = CautionsDialog()
    qtbot.addWidget(dialog)
    shown = " ".join(label.text() for label in dialog.findChildren(QLabel))
    for title, text in CAUTIONS:
        assert title in shown
        assert text in shown
    for word in ("code", "licensed", "breaker", "ladder"):
        assert word in shown.lower()


def test_every_key_of_the_list_is_shown(qtbot) -> None:  # type: ignore[no-untyped-def]
    dialog = KeysDialog()
    qtbot.addWidget(dialog)
    shown = {label.text() for label in dialog.findChildren(QLabel)}
    assert {key for key, _ in KEYS} <= shown


def test_esc_closes_every_window_beside_the_plan_and_nothing_of_it_follows_the_plan_after(
    lit: MainWindow, qtbot
) -> None:
    def beside() -> list[QDialog]:
        return [dialog for dialog in lit.findChildren(QDialog) if dialog.isVisible()]

    actions = {action.shortcut().toString(): action for action in lit.findChildren(QAction)}
    for key in ("Ctrl+L", "Ctrl+T", "Ctrl+P", "Ctrl+E", "Ctrl+G", "Ctrl+R", "Ctrl+J", "Ctrl+B", "F1"):
        actions[key].trigger()
        (opened,) = beside()
        qtbot.waitExposed(opened)
        QTest.keyClick(opened.focusWidget() or opened, Qt.Key.Key_Escape)
        assert beside() == [], key
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    lit.document.select([lit.document.plan.fixtures[0].id])
    with qtbot.captureExceptions() as faults:
        QTest.keyClick(lit.canvas, Qt.Key.Key_Right)
        lit.toggle_units()
        lit.switches.toggle("A")
        qtbot.waitUntil(lambda: not lit.solver.is_busy, timeout=20_000)
    assert faults == []
