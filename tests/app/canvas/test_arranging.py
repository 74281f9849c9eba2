"""Arrays by the panel, lining up and mirroring from menus, and the menu at the pointer."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from app.canvas.arranging import arrange_commands
from app.canvas.context_menu import menu_at
from core.units import FOOT
from tests.app.canvas import shops

RETURN, ESCAPE = Qt.Key.Key_Return, Qt.Key.Key_Escape


def fill(field, text: str) -> None:  # type: ignore[no-untyped-def]
    field.selectAll()
    QTest.keyClicks(field, text)


def actions(menu: QMenu) -> dict[str, QAction]:
    """Return the lines of a menu and of its parts, without their keys."""
    found: dict[str, QAction] = {}
    for action in menu.actions():
        if action.menu() is not None:
            found |= actions(action.menu())
        found[action.text().split("\t")[0]] = action
    return found


@pytest.fixture
def one_strip(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a-1", 5, 5),)))
    hand.click(5, 5)
    return hand


def test_an_array_is_shown_while_it_is_typed_and_one_step_when_kept(one_strip):
    hand, before = one_strip, one_strip.plan
    panel = hand.canvas.array
    assert panel.open_for_selection()
    fill(panel.counts, "2 x 3")
    assert len(hand.plan.fixtures) == 6
    assert hand.document.settled_plan == before
    assert "6 fixtures" in panel.told
    assert "between columns" in panel.told
    QTest.keyClick(panel.counts, RETURN)
    assert not panel.isVisible()
    assert hand.document.undo_text == "Hang 2 x 3 of 4 ft strip"
    assert len(hand.document.selection) == 6
    assert sorted({round(f.y / FOOT, 3) for f in hand.plan.fixtures}) == [3.5, 10.5]
    hand.document.undo()
    assert hand.plan == before


def test_rows_with_switches_of_their_own_margins_and_turn(one_strip):
    hand, panel = one_strip, one_strip.canvas.array
    panel.open_for_selection()
    panel.switching.setCurrentIndex(1)
    fill(panel.sides, "4'")
    fill(panel.ends, "30 in")
    fill(panel.turned, "90")
    fill(panel.counts, "2 by 3")
    QTest.keyClick(panel.turned, RETURN)
    assert [f.group for f in hand.plan.fixtures] == ["A", "A", "A", "B", "B", "B"]
    assert [(round(f.x / FOOT, 3), round(f.y / FOOT, 3)) for f in hand.plan.fixtures][:3] == [
        (4, 11.5),
        (10, 11.5),
        (16, 11.5),
    ]
    assert {f.rotation_deg for f in hand.plan.fixtures} == {90.0}


@pytest.mark.parametrize(
    ("counts", "sides", "words"),
    [("many", "", "rows and columns"), ("2 x 3", "40'", "Twice that"), ("2 x 3", "4 elephants", "elephants")],
)
def test_what_cannot_be_hung_is_said_and_nothing_is_changed(one_strip, counts, sides, words):
    hand, before, panel = one_strip, one_strip.plan, one_strip.canvas.array
    panel.open_for_selection()
    fill(panel.counts, counts)
    fill(panel.sides, sides)
    QTest.keyClick(panel.counts, RETURN)
    assert panel.isVisible()
    assert words in panel.told
    assert hand.plan == before


def test_esc_a_click_elsewhere_and_undo_put_everything_back(one_strip):
    hand, before, panel = one_strip, one_strip.plan, one_strip.canvas.array
    hand.document.apply("Rename", shops.rectangle(fixtures=before.fixtures, name="Other"))
    for leave in (
        lambda: QTest.keyClick(panel.counts, ESCAPE),
        lambda: hand.click(18, 1),
        lambda: hand.canvas.set_tool("bench"),
    ):
        hand.canvas.set_tool("select")
        hand.click(5, 5)
        assert panel.open_for_selection()
        assert len(hand.plan.fixtures) == 4
        leave()
        assert not panel.isVisible()
        assert len(hand.plan.fixtures) == 1
    hand.document.select({"a-1"})
    panel.open_for_selection()
    hand.document.undo()
    assert not panel.isVisible()
    assert hand.plan == before


def test_arrange_commands_apply_only_where_they_make_sense(hand_on):
    hand = hand_on(shops.furnished())

    def usable() -> set[str]:
        return {c.text for group in arrange_commands(hand.canvas) for c in group if c.applies()}

    assert usable() == set()
    hand.document.select({"f-1"})
    assert "Array…" in usable()
    assert "Line up left edges" not in usable()
    hand.document.select({"f-1", "f-7"})
    assert "Array…" not in usable()  # two models
    assert "Line up left edges" in usable()
    assert "Space evenly across" not in usable()
    hand.document.select({"f-1", "f-2", "bench-1", "door-1"})
    assert "Space evenly across" in usable()
    hand.document.select({"door-1"})
    assert usable() == set()


def test_every_arrange_command_is_one_step_that_can_be_undone(hand_on):
    before = shops.furnished()
    hand = hand_on(before)
    chosen = {"f-1", "f-3", "f-6", "machine-1"}
    for group in arrange_commands(hand.canvas):
        for command in group:
            hand.document.select(chosen)
            if command.text == "Array…":
                continue
            command.do()
            assert hand.plan != before
            hand.document.undo()
            assert hand.plan == before
            assert hand.document.undo_text is None


def test_the_menu_at_the_pointer_speaks_of_what_lies_there(hand_on):
    hand = hand_on(shops.furnished())
    on_fixture = actions(menu_at(hand.canvas, hand.pos(3, 11.2)))
    assert hand.document.selection == {"f-1"}
    on_fixture["Select every fixture on this switch"].trigger()
    assert hand.document.selection == {"f-1", "f-2", "f-8"}
    on_fixture["B  Middle"].trigger()
    assert {hand.plan.fixture(i).group for i in ("f-1", "f-2", "f-8")} == {"B"}
    on_bench = actions(menu_at(hand.canvas, hand.pos(17.5, 1.4)))
    on_bench["Select every bench"].trigger()
    assert hand.document.selection == {"bench-1", "bench-2"}
    on_gate = actions(menu_at(hand.canvas, hand.pos(0.05, 5)))
    assert "Open the overhead door" in on_gate
    on_gate["Open the overhead door"].trigger()
    assert next(o for o in hand.plan.room.openings if o.id == "gate-1").is_open
    on_gate["Hang its tracks and opener"].trigger()
    assert len(hand.plan.room.keep_outs) == 4
    on_door = actions(menu_at(hand.canvas, hand.pos(8.5, 0.02)))
    on_door["Hinge on the other side"].trigger()
    assert hand.plan.room.openings[0].hinge == "end"


def test_the_menu_on_walls_and_paper(hand_on):
    hand = hand_on(shops.furnished())
    actions(menu_at(hand.canvas, hand.pos(20, 8.5)))["Remove this corner"].trigger()
    assert len(hand.plan.room.outline) == 5
    hand.document.undo()
    actions(menu_at(hand.canvas, hand.pos(3, 0)))["Put a corner here"].trigger()
    assert len(hand.plan.room.outline) == 7
    paper = actions(menu_at(hand.canvas, hand.pos(7, 4.5)))
    assert paper["Undo: Add a corner"].isEnabled()
    assert not paper["Redo"].isEnabled()
    paper["Bench"].trigger()
    assert hand.canvas.tool.name == "bench"


def test_the_right_button_and_the_menu_key_open_it(hand_on):
    hand = hand_on(shops.furnished())
    for reason in (QContextMenuEvent.Reason.Mouse, QContextMenuEvent.Reason.Keyboard):
        pos = hand.pos(3, 11.2).toPoint()
        QApplication.sendEvent(hand.canvas, QContextMenuEvent(reason, pos, hand.canvas.mapToGlobal(pos)))
        menus = [menu for menu in hand.canvas.findChildren(QMenu) if menu.isVisible()]
        assert len(menus) == 1
        assert "Delete" in actions(menus[0])
        menus[0].close()
        QApplication.processEvents()
