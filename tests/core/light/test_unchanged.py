"""After a change the light is that of a room worked out anew, and the first picture of it is close."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import core.light.engine as engine_module
from core.light.direct import direct
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.grid import FloatArray
from core.light.quality import FULL
from core.light.sources import sources_of
from core.light.unchanged import Places, Unchanged, changed_boxes, same_rows
from core.light.visibility import blockers_of
from core.plan import Furniture, Plan
from tests.core.light.rooms import box, hang, rectangle, room_of, strip

L_SHAPE = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.4), (2.6, 2.4), (2.6, 4.0), (0.0, 4.0))
LAMPS = (
    (strip(2.4, 0.1, 6000.0), 1.5, 1.2, 2.5, 30.0),
    (strip(0.6, 0.6, 4000.0, opening="round"), 1.2, 3.0, 2.3, 0.0),
    (strip(1.2, 0.1, 4000.0, beam="cosine power", exponent=2.5), 3.8, 1.2, 2.5, 0.0),
    (strip(0.1, 0.1, 900.0, opening="point", beam="cosine power", exponent=3.0), 4.4, 0.5, 2.0, 0.0),
)


def shop(outline: tuple[tuple[float, float], ...], *things: Furniture) -> Plan:
    bench = box("bench", 1.2, 0.5, 1.8, 0.7, 0.0, 0.9, 0.4, kind="bench")
    bare = room_of(outline, 2.6, 0.8, 0.6, 0.3, (bench, *things))
    return hang(bare, *LAMPS)


def cabinet(x: float, y: float) -> Furniture:
    return box("cabinet", x, y, 0.6, 0.9, 0.0, 1.9, 0.5, kind="cabinet", rotation_deg=15.0)


def all_on(lighting: Lighting) -> FloatArray:
    parts = [lighting.responses, *(bench.responses for bench in lighting.benches)]
    return np.concatenate(parts).sum(axis=1).astype(float)


CHANGES = {
    "a cabinet moved": (shop(rectangle(5.0, 4.0), cabinet(3.0, 2.6)), shop(rectangle(5.0, 4.0), cabinet(3.1, 2.5))),
    "a cabinet came": (shop(rectangle(5.0, 4.0)), shop(rectangle(5.0, 4.0), cabinet(3.0, 2.6))),
    "a wall moved": (shop(rectangle(5.0, 4.0), cabinet(3.0, 2.6)), shop(rectangle(5.0, 4.3), cabinet(3.0, 2.6))),
    "in a room with a corner": (shop(L_SHAPE, cabinet(3.4, 1.9)), shop(L_SHAPE, cabinet(3.3, 2.0))),
    "the corner itself": (
        shop(L_SHAPE, cabinet(3.4, 1.9)),
        shop(tuple((2.9 if x == 2.6 else x, y) for x, y in L_SHAPE), cabinet(3.4, 1.9)),
    ),
}


@pytest.fixture
def coarser(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer rays and patches than the program's full picture has, for the sake of time."""
    monkeypatch.setattr(engine_module, "FULL", replace(FULL, patches=700, patch_rays=300_000, receiver_rays=400_000))


@pytest.mark.usefixtures("coarser")
@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
def test_the_full_picture_is_that_of_a_room_worked_out_anew(change: tuple[Plan, Plan]) -> None:
    """To single precision, in which columns are kept. The first picture: 5 % wanted; benches and the mean closer."""
    old, new = change
    engine = LightEngine(step=0.25)
    for quick in (True, False):
        engine.solve(old, quick=quick)
    first = engine.solve(new, quick=True)
    full = engine.solve(new)
    anew = LightEngine(step=0.25).solve(new)
    np.testing.assert_allclose(full.responses, anew.responses, rtol=2e-5, atol=1e-4)
    for bench, again in zip(full.benches, anew.benches, strict=True):
        np.testing.assert_allclose(bench.responses, again.responses, rtol=2e-5, atol=1e-4)
    off = np.abs(all_on(first) / all_on(full) - 1.0)
    assert np.percentile(off, 99.0) < 0.02
    assert off.mean() < 0.004
    assert first.benches[0].responses.sum() == pytest.approx(full.benches[0].responses.sum(), rel=0.02)


PLACE = st.tuples(st.floats(0.8, 4.2), st.floats(0.8, 3.2))


@settings(max_examples=25, deadline=None)
@given(PLACE, PLACE, st.integers(0, len(LAMPS) - 1), st.integers(0, 1000))
def test_where_light_is_said_to_stay_it_does(
    here: tuple[float, float], there: tuple[float, float], lamp: int, seed: int
) -> None:
    """Against the direct light itself before and after, at random points that look in random directions."""
    old, new = (shop(rectangle(5.0, 4.0), cabinet(*at)) for at in (here, there))
    source, chance = sources_of(new)[lamp], np.random.default_rng(seed)
    points = chance.uniform((0.0, 0.0, 0.0), (5.0, 4.0, 2.6), (300, 3))
    normals = chance.normal(size=(300, 3))
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    before, after = (direct(points, normals, source, blockers_of(enclose(plan).between)) for plan in (old, new))
    places = Places(points, np.zeros(len(points)), points)
    unchanged = Unchanged(places, places, changed_boxes(enclose(old), enclose(new)))
    kept = unchanged.lit_as_before(source)
    # Rays and weights are of single precision, and how sums are rounded hangs on what is worked on along with them.
    np.testing.assert_allclose(before[kept], after[kept], rtol=2e-6)


def test_most_light_is_said_to_stay_when_a_box_is_nudged() -> None:
    """Of points all over the room, for the point lamp, which only a cone of shadow behind the cabinet concerns."""
    old, new = (enclose(shop(rectangle(5.0, 4.0), cabinet(*at))) for at in ((3.0, 2.6), (3.05, 2.55)))
    points = np.random.default_rng(5).uniform((0.0, 0.0, 0.0), (5.0, 4.0, 2.6), (1000, 3))
    places = Places(points, np.zeros(len(points)), points)
    unchanged = Unchanged(places, places, changed_boxes(old, new))
    assert unchanged.lit_as_before(sources_of(shop(rectangle(5.0, 4.0)))[3]).mean() > 0.8


def test_equal_rows_are_found_and_no_others() -> None:
    chance = np.random.default_rng(3)
    old = chance.integers(0, 4, (200, 3)).astype(float)
    new = chance.integers(0, 5, (300, 3)).astype(float)
    found = same_rows(old, new)
    for row, at in zip(new, found, strict=True):
        there = (old == row).all(axis=1)
        assert (at >= 0) == there.any()
        assert at < 0 or there[at]
    assert (same_rows(old[:0], new) == -1).all()
    assert len(same_rows(old, new[:0])) == 0


def test_a_renamed_box_is_no_change() -> None:
    plan = shop(rectangle(5.0, 4.0), cabinet(3.0, 2.6))
    renamed = replace(plan, furniture=tuple(replace(item, id=f"{item.id}-2") for item in plan.furniture))
    assert not len(changed_boxes(enclose(plan), enclose(renamed)))
