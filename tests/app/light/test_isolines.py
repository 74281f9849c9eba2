"""Isolines and their numbers: where they lie, what they cover, and how they follow a drag."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

import app.light.overlay as overlay_module
from app.light.isolines import isolines
from app.light.labels import place_labels
from app.light.picture import FieldPicture
from core.plan import Fixture, box_corners, standing_place
from tests.app.light.shown import ON, PAPER, overlay_of, painted, pixel, view_of
from tests.app.light.standin import FOOT, barn, lighting_of, shop


@pytest.fixture(autouse=True)
def _application(qapp: object) -> None:
    """Text needs an application."""


def test_isolines_lie_where_the_law_puts_them() -> None:
    """One lamp: E = F / pi * h^2 / (h^2 + r^2)^2, so a line is a circle of r^2 = h sqrt(F / (pi E)) - h^2."""
    plan = replace(barn(), furniture=(), fixtures=(Fixture("f", "strip-4", 20 * FOOT, 15 * FOOT),))
    lighting = lighting_of(plan)
    picture = FieldPicture(lighting.grid, lighting.inside)
    picture.set_values(lighting.field({"A": 1.0}).lux)
    h = plan.opening_height(plan.fixtures[0]) - plan.work_plane
    for level in (20.0, 50.0, 80.0):
        (line,) = isolines(picture, [level], 50.0)
        assert line.is_target == (level == 50.0)
        radius = np.hypot(*(line.points - (20 * FOOT, 15 * FOOT)).T)
        wanted = math.sqrt(h * math.sqrt(4400.0 / (math.pi * level)) - h * h)
        np.testing.assert_allclose(radius, wanted, rtol=0.004)


def test_isolines_reach_the_walls() -> None:
    plan = replace(barn(), furniture=())
    lighting = lighting_of(plan)
    picture = FieldPicture(lighting.grid, lighting.inside)
    picture.set_values(np.broadcast_to(lighting.grid.xs * 100.0, lighting.grid.shape).astype(np.float32))
    (line,) = isolines(picture, [300.0], 500.0)
    rect = picture.rect
    assert line.points[:, 1].min() == pytest.approx(rect.top())
    assert line.points[:, 1].max() == pytest.approx(rect.bottom())
    np.testing.assert_allclose(line.points[:, 0], 3.0, atol=1e-4)


@pytest.mark.parametrize("place", range(8))
def test_numbers_cover_nothing(place: int) -> None:
    """Wherever a fixture is dragged: numbers keep clear of each other, of furniture and fixtures, and of the walls."""
    base = shop()
    plan = replace(base, fixtures=(*base.fixtures[1:], Fixture("m", "strip-4", 0.7 + 0.45 * place, 0.8 + 0.4 * place)))
    view = view_of(plan)
    overlay = overlay_of(plan)
    painted(overlay, view, what="lines")
    labels = overlay.labels
    assert len(labels) >= 4
    assert overlay.scale.number(plan.targets.lux) in {label.text for label in labels}
    worker = standing_place(plan.piece("carving"), plan.worker)
    assert worker is not None
    room = shapely.Polygon([(p.x(), p.y()) for p in (view.to_screen(x, y) for x, y in plan.room.outline)])
    for i, label in enumerate(labels):
        assert all(not label.rect.intersects(other.rect) for other in labels[:i])
        corners = (label.rect.left(), label.rect.top(), label.rect.right(), label.rect.bottom())
        assert room.contains(shapely.box(*corners))
        for x, y, length, width, turn in [
            *((f.x, f.y, f.width, f.depth, f.rotation_deg) for f in plan.furniture),
            *((f.x, f.y, 4 * FOOT, 0.08, f.rotation_deg) for f in plan.fixtures),
            (worker[0], worker[1], 0.254, 0.4572, worker[2]),
        ]:
            points = [view.to_screen(*corner) for corner in box_corners(x, y, length, width, turn)]
            assert not shapely.Polygon([(p.x(), p.y()) for p in points]).intersects(shapely.box(*corners))


def test_numbers_stay_while_a_fixture_creeps() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    painted(overlay, view, what="lines")
    before = {label.text: label.rect.center() for label in overlay.labels}
    crept = replace(plan, fixtures=(replace(plan.fixtures[0], x=plan.fixtures[0].x + 0.02), *plan.fixtures[1:]))
    overlay.show(crept, lighting_of(crept), ON)
    painted(overlay, view, what="lines")
    after = {label.text: label.rect.center() for label in overlay.labels}
    assert set(after) == set(before)
    apart = [(after[text] - at).manhattanLength() for text, at in before.items()]
    assert max(apart) < 40.0


def test_numbers_creep_along_with_their_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Places are looked for anew only where a line came or went or moved far; those that stay stay on their line."""
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    painted(overlay, view, what="lines")
    before = {label.text: label.rect.center() for label in overlay.labels}
    searched = []
    monkeypatch.setattr(overlay_module, "place_labels", lambda *given: searched.append(1) or place_labels(*given))
    fixture = plan.fixtures[0]
    for step in range(1, 6):
        crept = replace(plan, fixtures=(replace(fixture, x=fixture.x + 0.004 * step), *plan.fixtures[1:]))
        overlay.show(crept, lighting_of(crept), ON)
        painted(overlay, view, what="lines")
        for label in overlay.labels:
            reading = overlay.reading(*view.to_plan(label.rect.center()))
            assert reading is not None
            assert reading.lux / overlay.scale.unit == pytest.approx(float(label.text), rel=0.06)
    assert len(searched) < 5
    after = {label.text: label.rect.center() for label in overlay.labels}
    assert max((after[text] - before[text]).manhattanLength() for text in before) < 12.0
    far = replace(plan, fixtures=(replace(fixture, x=fixture.x + 0.8), *plan.fixtures[1:]))
    searched.clear()
    overlay.show(far, lighting_of(far), ON)
    painted(overlay, view, what="lines")
    assert searched


def test_numbers_stand_on_their_line() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    painted(overlay, view, what="lines")
    for label in overlay.labels:
        x, y = view.to_plan(label.rect.center())
        reading = overlay.reading(x, y)
        assert reading is not None
        assert reading.lux / overlay.scale.unit == pytest.approx(float(label.text), rel=0.06)


def test_lines_do_not_cross_benches_of_another_height_or_tall_boxes() -> None:
    plan = shop()
    view = view_of(plan)
    overlay = overlay_of(plan)
    rack = plan.piece("rack")
    image = painted(overlay, view, what="lines")
    paper = PAPER.red(), PAPER.green(), PAPER.blue()
    xs = np.linspace(rack.x - rack.width / 2 + 0.03, rack.x + rack.width / 2 - 0.03, 40)
    ys = np.linspace(rack.y - rack.depth / 2 + 0.03, rack.y + rack.depth / 2 - 0.03, 120)
    assert {pixel(image, view, x, y) for x in xs for y in ys} == {paper}
