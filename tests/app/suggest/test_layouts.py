"""Layouts of one file by mouse and keyboard: copied, named, switched, compared, removed, saved and opened."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.window import MainWindow
from core.plan.alternatives import alternative_names
from core.plan.edits import removed
from core.plan.file import load_plan, save_plan
from tests.app.shell.conftest import small_shop
from tests.app.shell.test_file_menu import click as choose_in_menu
from tests.app.suggest.test_place import click, type_into

_LONG = 60_000


@pytest.fixture
def window(qtbot, open_window):
    plan = small_shop()
    bench = replace(plan.furniture[0], worker_side="front")
    made = open_window(replace(plan, furniture=(bench,)))
    choose_in_menu(made, "Light", "Layouts of this shop")
    qtbot.waitExposed(made.layouts.layouts_dialog)
    yield made
    made.layouts.shutdown()


def names(dialog) -> list[str]:
    return [dialog.table.item(row, 0).text() for row in range(dialog.table.rowCount())]


def choose(dialog, name: str) -> None:
    item = dialog.table.item(names(dialog).index(name), 0)
    place = dialog.table.visualItemRect(item).center()
    QTest.mouseClick(dialog.table.viewport(), Qt.MouseButton.LeftButton, pos=place)


def copied(window: MainWindow, name: str) -> None:
    dialog = window.layouts.layouts_dialog
    click(dialog.copy)
    type_into(dialog.name, name)


def test_copy_name_switch_and_undo(window):
    document, dialog = window.document, window.layouts.layouts_dialog
    first = document.settled_plan
    copied(window, "Fewer strips")
    assert names(dialog) == ["Fewer strips", first.layout]
    document.apply("Remove one", removed(document.settled_plan, [first.fixtures[0].id]))
    assert dialog.table.item(0, 1).text() == str(len(first.fixtures) - 1)
    choose(dialog, first.layout)
    click(dialog.show_it)
    assert document.settled_plan.fixtures == first.fixtures
    assert names(dialog) == [first.layout, "Fewer strips"]
    for _ in range(4):
        document.undo()
    assert document.settled_plan == first
    assert names(dialog) == [first.layout]


def test_a_name_that_is_taken_is_refused_in_words(window):
    dialog = window.layouts.layouts_dialog
    first = window.document.settled_plan.layout
    copied(window, first)
    assert dialog.name.is_wrong
    assert "already" in dialog.name.why.text()
    assert window.document.settled_plan.layout != first


def test_the_other_layout_is_removed_only_when_chosen(window):
    document, dialog = window.document, window.layouts.layouts_dialog
    assert not dialog.forget.isEnabled()
    first = document.settled_plan.layout
    copied(window, "Other")
    choose(dialog, "Other")
    assert not dialog.forget.isEnabled(), "what is shown cannot be removed"
    choose(dialog, first)
    click(dialog.forget)
    assert names(dialog) == ["Other"]
    assert alternative_names(document.settled_plan) == ()


def test_saving_and_opening_keeps_them(window, open_window, tmp_path):
    copied(window, "Other")
    save_plan(window.document.settled_plan, tmp_path / "shop.json")
    again = open_window(load_plan(tmp_path / "shop.json"))
    again.layouts.show_layouts()
    assert names(again.layouts.layouts_dialog) == ["Other", "First layout"]
    again.layouts.shutdown()


def test_two_layouts_side_by_side(qtbot, window):
    document, dialog = window.document, window.layouts.layouts_dialog
    first = document.settled_plan
    copied(window, "Fewer strips")
    document.apply("Remove one", removed(document.settled_plan, [first.fixtures[0].id]))
    choose(dialog, first.layout)
    click(dialog.compare)
    compare = window.layouts.comparisons[0]
    qtbot.waitUntil(lambda: not compare.runner.is_busy, timeout=_LONG)
    rows = {compare.table.item(row, 0).text(): row for row in range(compare.table.rowCount())}
    assert {"average, room", "minimum / average", "worst glare", "power", "shopping list", "boxes", "cable"} <= set(
        rows
    )
    assert any("Joinery bench" in name and "shadow" in name for name in rows), sorted(rows)
    cells = [compare.table.item(rows["fixtures"], column).text() for column in range(5)]
    assert cells == ["fixtures", "2", "3", "+1", "worse"]
    for row in rows.values():
        shown = [compare.table.item(row, column).text() for column in (1, 2, 3)]
        if "–" not in shown:
            one, two, difference = (float(text.split()[0].replace(",", "")) for text in shown)
            assert difference == pytest.approx(two - one, abs=1e-6), "of the figures as they are shown"
    assert compare.table.horizontalHeaderItem(1).text() == "Fewer strips"
    assert compare.map._difference is not None
    compare.close()
