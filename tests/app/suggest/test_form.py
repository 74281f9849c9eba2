"""The fields of a request: models ticked by mouse and keys, per cent, joists only where there are any."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.suggest.form import RequestForm
from core.catalogue import blank_plan, catalogue
from core.plan import JoistZone
from core.suggest.request import MOST_MODELS, ceiling_models
from core.units import UnitSystem
from tests.app.shell.conftest import small_shop
from tests.app.suggest.test_place import type_into, with_somebody


@pytest.fixture
def form(qtbot):
    """The fields, for the small shop with somebody at its bench."""
    made = RequestForm(UnitSystem.US)
    made.set_plan(with_somebody(small_shop()), catalogue())
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def names(form):
    items = form.model.box.items
    return [items.item(row).text() for row in range(items.rowCount())]


def ticks(form):
    items = form.model.box.items
    return [row for row in range(items.rowCount()) if items.item(row).checkState() is Qt.CheckState.Checked]


def press(form, *keys):
    for key in keys:
        QTest.keyClick(form.model.box.view(), key)


def click_row(form, row):
    view = form.model.box.view()
    spot = view.visualRect(view.model().index(row, 0)).center()
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(spot))


def test_models_are_ticked_by_keys(form):
    box = form.model.box
    assert box.text == "The best of this plan’s"
    assert ticks(form) == [0]
    assert form.request().models == ()
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Down)
    assert box.view().isVisible()
    press(form, Qt.Key.Key_Down, Qt.Key.Key_Space)
    assert box.view().isVisible(), "the list stays open while boxes are ticked"
    first = form.request().models
    assert len(first) == 1
    assert box.text == names(form)[1]
    press(form, Qt.Key.Key_Down, Qt.Key.Key_Space, Qt.Key.Key_Escape)
    assert not box.view().isVisible()
    assert ticks(form) == [1, 2]
    assert box.text == f"2 of {len(names(form)) - 1} models"
    assert len(form.request().models) == 2
    assert form.request().models[0] == first[0]
    assert not form.power.isEnabled(), "several have only their strongest setting in common"


def test_letters_and_arrows_choose_nothing_while_the_list_is_closed(form):
    box = form.model.box
    QTest.keyClicks(box, "824")
    assert ticks(form) == [0]
    assert not box.view().isVisible()


def test_models_are_ticked_by_mouse_and_too_many_are_told(form):
    form.model.box.showPopup()
    for row in range(1, MOST_MODELS + 2):
        assert not form.model.note.isVisible()
        click_row(form, row)
    assert form.model.box.view().isVisible()
    assert form.model.note.text().startswith("Only the first 3 are looked at: ")
    assert form.model.note.text().endswith(f"{names(form)[3]}.")
    assert form.model.note.isVisible()
    click_row(form, 2)
    assert not form.model.note.isVisible()
    assert ticks(form) == [1, 3, 4]
    click_row(form, 0)
    assert ticks(form) == [0]
    assert form.request().models == ()
    form.model.box.hidePopup()


def test_ticks_outlive_another_look_at_the_plan(form):
    form.model.box.showPopup()
    click_row(form, 3)
    form.model.box.hidePopup()
    chosen = form.request().models
    form.set_plan(small_shop(), catalogue())
    assert form.request().models == chosen != ()


def test_without_models_in_the_plan_one_of_the_catalogue_stays_ticked(form):
    empty = replace(blank_plan("Empty"), models=())
    assert not ceiling_models(empty)
    form.set_plan(empty, catalogue())
    assert ticks(form) == [0]
    form.model.box.showPopup()
    click_row(form, 0)
    assert ticks(form) == [0]
    assert len(form.request().models) == 1
    form.model.box.hidePopup()


@pytest.mark.parametrize(
    ("typed", "shown", "share"), [("30", "30 %", 0.3), ("0.125", "12.5 %", 0.125), ("1", "100 %", 1)]
)
def test_body_shadow_is_in_per_cent(form, typed, shown, share):
    type_into(form.shadow, typed)
    assert form.shadow.line.text() == shown
    assert form.request().shadow_limit == pytest.approx(share)


def test_more_than_all_of_the_light_is_refused(form):
    type_into(form.shadow, "130 %")
    assert form.is_wrong
    assert "100 %" in form.shadow.why.text()


def test_joists_are_asked_for_only_where_they_are_drawn(form):
    assert not form.joists.isEnabled()
    assert "No joists" in form.joists.toolTip()
    plan = small_shop()
    form.follow(replace(plan, room=replace(plan.room, joists=(JoistZone("joists"),))))
    assert form.joists.isEnabled()
    QTest.mouseClick(form.joists, Qt.MouseButton.LeftButton, pos=QPoint(8, form.joists.height() // 2))
    assert form.request().on_joists
    form.follow(plan)
    assert not form.request().on_joists
