"""The overlay as the canvas sees it: which pixels it colours, the reading at the pointer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter
from pytestqt.qtbot import QtBot

from app.light.colours import colour_at
from app.light.legend import Legend
from app.light.overlay import Overlay
from app.light.reading import _beside, words
from app.light.scale import Scale
from app.theme import theme
from core.plan import Furniture, box_corners
from tests.app.light.shown import ON, PAPER, lux_at, overlay_of, painted, pixel, view_of
from tests.app.light.standin import FOOT, lighting_of, shop

DENSITIES = pytest.mark.parametrize("density", [1.0, 2.0])
THEMES = pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])


@pytest.fixture(autouse=True)
def _application(qapp: object) -> None:
    """Text needs an application."""


@THEMES
@DENSITIES
def test_pixels_show_the_light_on_the_plane(dark: bool, density: float) -> None:
    plan = shop()
    view = view_of(plan)
    image = painted(overlay_of(plan, dark=dark), view, density)
    for x, y in [(3.0, 2.5), (2.0, 2.9), (4.5, 1.2), (3.4, 1.0), (4.9, 2.2)]:
        wanted = colour_at(lux_at(plan, x, y, plan.work_plane) / plan.targets.lux, dark)
        assert np.abs(np.subtract(pixel(image, view, x, y), wanted)).max() <= 4


@DENSITIES
def test_nothing_is_painted_outside_the_room(density: float) -> None:
    plan = shop()
    view = view_of(plan)
    image = painted(overlay_of(plan), view, density, "field lines")
    paper = PAPER.red(), PAPER.green(), PAPER.blue()
    for x, y in [(17 * FOOT, 12 * FOOT), (13.6 * FOOT, 8.6 * FOOT), (-0.02, 1.0), (20.05 * FOOT, 2.0), (1.0, -0.02)]:
        assert pixel(image, view, x, y) == paper
    assert pixel(image, view, 13.4 * FOOT, 8.6 * FOOT) != paper


def test_a_bench_shows_the_light_on_its_own_top() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    image = painted(overlay, view)
    bench = plan.piece("setup")
    assert bench.target_lux is not None
    own = lux_at(plan, bench.x, bench.y, bench.top)
    assert abs(own / lux_at(plan, bench.x, bench.y, plan.work_plane) - 1.0) > 0.04  # it matters
    wanted = colour_at(own / bench.target_lux)
    assert np.abs(np.subtract(pixel(image, view, bench.x, bench.y), wanted)).max() <= 4
    # A bench that stands askew ends where its corners are.
    for x, y in box_corners(bench.x, bench.y, bench.width - 0.06, bench.depth - 0.06, bench.rotation_deg):
        wanted = colour_at(lux_at(plan, x, y, bench.top) / bench.target_lux)
        assert np.abs(np.subtract(pixel(image, view, x, y), wanted)).max() <= 8
    for x, y in box_corners(bench.x, bench.y, bench.width + 0.06, bench.depth + 0.06, bench.rotation_deg):
        wanted = colour_at(lux_at(plan, x, y, plan.work_plane) / plan.targets.lux)
        assert np.abs(np.subtract(pixel(image, view, x, y), wanted)).max() <= 8


def test_beneath_a_tall_box_no_light_is_claimed() -> None:
    plan = shop()
    view = view_of(plan)
    image = painted(overlay_of(plan), view)
    floor = theme(False).floor.getRgb()[:3]
    for name in ("rack", "saw"):
        box = plan.piece(name)
        assert pixel(image, view, box.x, box.y) == floor
        assert pixel(image, view, box.x + 0.45 * box.width, box.y - 0.45 * box.depth) == floor


def test_a_switch_changes_the_picture() -> None:
    plan, lighting = shop(), lighting_of(shop())
    view = view_of(plan)
    overlay = overlay_of(plan, lighting)
    before = painted(overlay, view)
    field = overlay.show(plan, lighting, {"A": 0.0, "B": 1.0})
    assert field.room.average < lighting.field(ON).room.average
    assert pixel(painted(overlay, view), view, 2.0, 3.0) != pixel(before, view, 2.0, 3.0)
    overlay.show(plan, lighting, {"A": 0.0, "B": 0.0})
    assert pixel(painted(overlay, view), view, 2.0, 3.0) == colour_at(0.0)


def test_a_moved_fixture_moves_the_picture() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    moved = replace(plan, fixtures=(replace(plan.fixtures[0], x=3.5, y=0.5), *plan.fixtures[1:]))
    overlay.show(moved, lighting_of(moved), ON)
    image = painted(overlay, view)
    wanted = colour_at(lux_at(moved, 3.7, 0.8, moved.work_plane) / moved.targets.lux)
    assert np.abs(np.subtract(pixel(image, view, 3.7, 0.8), wanted)).max() <= 4


def test_stale_light_is_marked_and_follows_the_walls() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    fresh = painted(overlay, view)
    narrow = tuple((min(x, 18 * FOOT), y) for x, y in plan.room.outline)
    overlay.set_plan(replace(plan, room=replace(plan.room, outline=narrow)))
    overlay.stale = True
    image = painted(overlay, view)
    assert pixel(image, view, 19 * FOOT, 2.0) == (PAPER.red(), PAPER.green(), PAPER.blue())
    assert image != fresh
    row = [pixel(image, view, 2.0 + 0.002 * i, 1.0) for i in range(200)]
    assert len(set(row)) > 3  # lines cross it


def test_reading_of_plane_bench_and_box() -> None:
    plan = shop()
    overlay = overlay_of(plan)
    lux = lux_at(plan, 3.0, 2.5, plan.work_plane)
    reading = overlay.reading(3.0, 2.5)
    assert reading is not None
    assert reading.lux == pytest.approx(lux, rel=0.01)
    assert words(reading, overlay.scale) == (f"{reading.lux * FOOT**2:.0f} fc", "initial light")
    bench = plan.piece("setup")
    on_bench = overlay.reading(bench.x, bench.y)
    assert on_bench is not None
    assert on_bench.lux == pytest.approx(lux_at(plan, bench.x, bench.y, bench.top), rel=0.01)
    assert words(on_bench, overlay.scale)[1] == "Setup bench · wanted 149 fc · initial light"
    rack = plan.piece("rack")
    assert overlay.reading(rack.x, rack.y) is None
    assert overlay.reading(17 * FOOT, 12 * FOOT) is None
    assert overlay.reading(-1.0, 1.0) is None


def test_maintained_light_changes_reading_colour_and_word() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    initial = overlay.reading(3.0, 2.5)
    overlay.set_scale(Scale.of(plan, shown="maintained"))
    maintained = overlay.reading(3.0, 2.5)
    assert initial is not None
    assert maintained is not None
    assert maintained.lux == pytest.approx(0.81 * initial.lux)
    assert words(maintained, overlay.scale)[1] == "maintained light"
    wanted = colour_at(0.81 * lux_at(plan, 3.0, 2.5, plan.work_plane) / plan.targets.lux)
    assert np.abs(np.subtract(pixel(painted(overlay, view), view, 3.0, 2.5), wanted)).max() <= 4


def test_the_reading_stays_on_the_sheet() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    image = painted(overlay, view)
    before = image.copy()
    painter = QPainter(image)
    overlay.paint_reading(painter, view, view.to_screen(19.9 * FOOT, 8.4 * FOOT))
    overlay.paint_reading(painter, view, QPointF(-40.0, -40.0))
    painter.end()
    assert image != before


@pytest.mark.parametrize("covered", [(), (0,), (0, 1), (0, 1, 2), (0, 1, 2, 3)])
def test_the_reading_covers_no_other_text_where_it_can(covered: tuple[int, ...]) -> None:
    """Above right if that is free, else above left, below right, below left; where nothing is, above right again."""
    pos, sheet = QPointF(400.0, 300.0), QRectF(0.0, 0.0, 800.0, 600.0)
    spots = [QRectF(pos.x() + dx, pos.y() + dy, 10.0, 10.0) for dy in (-30.0, 20.0) for dx in (30.0, -40.0)]
    rect = _beside(pos, 80.0, 40.0, sheet, [spots[i] for i in covered])
    found = [i for i, spot in enumerate(spots) if rect.contains(spot)]
    assert found == [len(covered) if len(covered) < 4 else 0]
    assert not rect.contains(pos)


def test_no_light_yet_paints_nothing() -> None:
    plan = shop()
    overlay = Overlay(theme(False), Scale.of(plan))
    image = painted(overlay, view_of(plan), what="field lines")
    assert image.pixelColor(400, 300) == PAPER
    assert overlay.reading(2.0, 2.0) is None
    overlay.show(plan, lighting_of(plan), ON)
    overlay.clear()
    assert painted(overlay, view_of(plan), what="field lines").pixelColor(400, 300) == PAPER


def test_a_room_without_fixtures_is_paper_to_draw_on_and_dark_once_one_hangs_unlit() -> None:
    plan = replace(shop(), fixtures=())
    overlay = overlay_of(plan)
    view = view_of(plan)
    assert painted(overlay, view, what="field lines").pixelColor(view.to_screen(3.0, 2.5).toPoint()) == PAPER
    assert overlay.reading(3.0, 2.5) is None
    unlit = Overlay(theme(False), Scale.of(shop()))
    unlit.show(shop(), lighting_of(shop()), dict.fromkeys(ON, 0.0))
    assert pixel(painted(unlit, view, what="field lines"), view, 3.0, 2.5) == colour_at(0.0)
    assert unlit.labels == []


def test_a_bench_wider_than_its_points_is_lit_to_its_edge() -> None:
    plan = replace(shop(), furniture=(Furniture("b", "bench", "Bench", 3.0, 2.0, 1.5, 0.7, 1.1),))
    overlay = overlay_of(plan)
    view = view_of(plan)
    reading = overlay.reading(3.74, 2.0)
    assert reading is not None
    assert reading.bench == "Bench"
    assert reading.lux == pytest.approx(lux_at(plan, 3.74, 2.0, 1.1), rel=0.05)
    wanted = colour_at(lux_at(plan, 3.73, 2.0, 1.1) / plan.targets.lux)
    assert np.abs(np.subtract(pixel(painted(overlay, view), view, 3.73, 2.0), wanted)).max() <= 8


@THEMES
def test_the_legend_shows_both_ends_and_the_middle(qtbot: QtBot, dark: bool) -> None:
    legend = Legend(theme(dark), Scale.of(shop()))
    qtbot.addWidget(legend)
    legend.resize(QSize(640, 48))
    image = legend.grab().toImage()
    row = {image.pixelColor(x, 23).getRgb()[:3] for x in range(image.width())}
    for share in (0.01, 0.5, 1.0, 1.5, 1.99):
        wanted = np.array(colour_at(share, dark))
        assert min(np.abs(wanted - np.array(colour)).max() for colour in row) <= 3
    assert "50 fc" in legend.accessibleName()
    assert "initial light" in legend.accessibleName().lower()
    legend.set_scale(Scale.of(shop(), shown="maintained"))
    assert "maintained light" in legend.accessibleName().lower()
    assert legend.grab().toImage() != image
