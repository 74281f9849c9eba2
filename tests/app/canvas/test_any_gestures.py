"""Whatever the hand does, undo leads back to the first plan and redo to the last, and the plan stays a sound one."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import Qt

from app.canvas.tools import TOOLS
from core.plan.outline import outline_problem
from tests.app.canvas import shops
from tests.app.canvas.conftest import Hand

Key = Qt.Key
HELD = [
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.ControlModifier,
]
KEYS = [
    Key.Key_R, Key.Key_D, Key.Key_Delete, Key.Key_Escape, Key.Key_Return, Key.Key_Left, Key.Key_Up, Key.Key_Tab,
    Key.Key_A, Key.Key_C, Key.Key_F, Key.Key_Backspace, Key.Key_Z,
]  # fmt: skip
# Corners, walls, fixtures and benches of the shop, and anywhere at all.
spots = st.sampled_from([(0, 0), (20, 8.5), (13.5, 14), (10, 0), (4, 7), (9, 7), (5.5, 13), (8.5, 0), (17, 3.2)])
places = st.one_of(spots, st.tuples(st.floats(-3, 23), st.floats(-3, 17)))
gestures = st.one_of(
    st.tuples(st.just("drag"), places, places, st.sampled_from(HELD), st.booleans()),
    st.tuples(st.just("click"), places, st.sampled_from(HELD)),
    st.tuples(st.just("double click"), places),
    st.tuples(st.just("key"), st.sampled_from(KEYS), st.sampled_from(HELD)),
    st.tuples(st.just("tool"), st.sampled_from(sorted(TOOLS))),
    st.tuples(st.just("type"), st.sampled_from(["6'", "3' by 2'", "nonsense", "90"])),
    st.tuples(st.just("undo")),
)


def carry_out(hand: Hand, gesture: tuple) -> None:  # type: ignore[type-arg]
    kind, *given_ = gesture
    if kind == "drag":
        start, end, held, drops = given_
        hand.drag(start, end, held=held, drop=drops)
    elif kind == "click":
        hand.click(*given_[0], given_[1])
    elif kind == "double click":
        hand.double_click(*given_[0])
    elif kind == "key":
        hand.key(*given_)
    elif kind == "tool":
        hand.canvas.set_tool(given_[0])
    elif kind == "type":
        hand.type(given_[0])
    else:
        hand.document.undo()


@pytest.fixture
def one_hand(hand_on):
    return hand_on(shops.furnished())


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(gestures, min_size=3, max_size=15))
def test_undo_to_the_start_and_redo_to_the_end(one_hand, done):
    hand, before = one_hand, shops.furnished()
    document = hand.document
    hand.canvas.set_tool("select")
    document.replace(before)
    hand.canvas.zoom_to_fit()
    for gesture in done:
        carry_out(hand, gesture)
        hand.canvas.grab()
        assert outline_problem(hand.plan.room.outline) is None
        ids = [t.id for t in (*hand.plan.fixtures, *hand.plan.furniture, *hand.plan.room.openings)]
        assert len(ids) == len(set(ids))
    hand.canvas.set_tool("select")
    assert not document.in_gesture
    while document.redo_text:  # the hand may have ended on an undo
        document.redo()
    last = hand.plan
    while document.undo_text:
        document.undo()
    assert hand.plan == before
    while document.redo_text:
        document.redo()
    assert hand.plan == last
