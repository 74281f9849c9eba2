"""The mapping between plan and screen."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF

from app.canvas.view import MAX_SCALE, MIN_SCALE, View

metres = st.floats(-100.0, 100.0)
pixels = st.floats(-3000.0, 3000.0)
views = st.builds(View, st.floats(MIN_SCALE, MAX_SCALE), pixels, pixels)


@given(views, metres, metres)
def test_to_the_screen_and_back_is_the_same_place(view: View, x: float, y: float) -> None:
    back = view.to_plan(view.to_screen(x, y))
    assert back == pytest.approx((x, y), abs=1e-9)


@given(views, metres, metres)
def test_the_painter_s_transform_is_the_same_mapping(view: View, x: float, y: float) -> None:
    mapped, shown = view.transform().map(QPointF(x, y)), view.to_screen(x, y)
    assert math.hypot(mapped.x() - shown.x(), mapped.y() - shown.y()) < 1e-6


@given(views, pixels, pixels, st.floats(0.2, 5.0))
def test_zooming_keeps_the_place_under_the_pointer(view: View, x: float, y: float, factor: float) -> None:
    pointer = QPointF(x, y)
    zoomed = view.zoomed(factor, pointer)
    assert MIN_SCALE <= zoomed.scale <= MAX_SCALE
    kept = zoomed.to_screen(*view.to_plan(pointer))
    assert math.hypot(kept.x() - x, kept.y() - y) < 1e-6


def test_up_the_sheet_is_up_the_screen() -> None:
    view = View(100.0, 50.0, 400.0)
    assert view.to_screen(0.0, 1.0) == QPointF(50.0, 300.0)


@given(metres, metres, st.floats(0.5, 100.0), st.floats(0.5, 100.0))
def test_a_fitted_box_lies_centred_in_the_frame(x: float, y: float, width: float, depth: float) -> None:
    frame = QRectF(26.0, 26.0, 800.0, 600.0)
    view = View.fitted((x, y, x + width, y + depth), frame)
    low, high = view.to_screen(x, y), view.to_screen(x + width, y + depth)
    shown = QRectF(low, high).normalized()
    assert frame.adjusted(-1.0, -1.0, 1.0, 1.0).contains(shown)
    assert (shown.center() - frame.center()).manhattanLength() <= 1.5
    assert max(shown.width() / frame.width(), shown.height() / frame.height()) == pytest.approx(1.0, abs=0.01)
