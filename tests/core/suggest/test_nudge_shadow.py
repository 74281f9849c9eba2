"""Nudges against body shadow: real gain by the full check, rows stay rows, the darkest spot keeps its light."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.plan.edits import hung, moved
from core.suggest import improve
from core.suggest.answer import figures_of
from core.suggest.climb import Climb
from core.suggest.improve import LEAST_LEFT, nudged, works_at_a_bench
from core.units import FOOT
from tests.core.suggest.rooms import STRIP, bare
from tests.core.suggest.test_comfort import BENCH, by_checker


@pytest.fixture(scope="module")
def engine():
    """Keeps the room of this module."""
    return LightEngine(step=0.3)


def behind_the_worker(bench=BENCH):
    """Return a room whose two strips hang in a row behind the worker at its bench."""
    plan = bare(model=STRIP, furniture=(bench,))
    for x in (4.0, 8.0):
        plan, _ = hung(plan, STRIP, x * FOOT, 5.5 * FOOT)
    return plan


def test_the_body_shades_the_work_less_and_the_figures_are_the_full_ones(engine):
    plan = behind_the_worker()
    nudge = nudged(plan, FOOT, engine, better="body shadow")
    assert nudge.moves
    ((bench, before),) = nudge.shadows_before
    ((same, after),) = nudge.shadows_after
    assert bench == same == "bench"
    assert after < before - 0.01
    assert before == pytest.approx(by_checker(plan, engine)[0], abs=0.005)
    assert after == pytest.approx(by_checker(nudge.plan, engine)[0], abs=0.005)
    assert nudge.after.minimum >= LEAST_LEFT * nudge.before.minimum
    assert figures_of(engine.solve(nudge.plan)).minimum == pytest.approx(nudge.after.minimum, rel=1e-5)
    assert max(abs(part) for _, dx, dy in nudge.moves for part in (dx, dy)) <= FOOT + 1e-6
    assert len({fixture.y for fixture in nudge.plan.fixtures}) == 1, "a row stays a row"


def test_without_a_worker_there_is_no_shadow_to_lessen(engine):
    plan = behind_the_worker(replace(BENCH, worker_side="nobody"))
    assert not works_at_a_bench(plan)
    assert works_at_a_bench(behind_the_worker())
    assert nudged(plan, FOOT, engine, better="body shadow").moves == ()


@pytest.mark.parametrize(
    ("dx", "dy", "shades_less"),
    [
        pytest.param(-1.7, 0.6, True, id="but the darkest spot gets too dark"),
        pytest.param(0.9, -1.5, False, id="the body takes more", marks=pytest.mark.long),
    ],
)
def test_what_the_full_figures_do_not_bear_out_is_not_offered(engine, monkeypatch, dx, dy, shades_less):
    """The quick climb is made to hand back a bad move; the full check must refuse it."""
    plan = behind_the_worker()
    there = moved(plan, [fixture.id for fixture in plan.fixtures], dx * FOOT, dy * FOOT)
    assert (by_checker(there, engine)[0] < by_checker(plan, engine)[0] - 0.01) == shades_less

    class Misled:
        def __init__(self, *_):
            pass

        def run(self):
            return there

        def part_of_the_way(self, end, share):
            assert end is there
            assert share < 1.0
            return plan

    monkeypatch.setattr(improve, "Climb", Misled)
    assert nudged(plan, 2 * FOOT, engine, better="body shadow").moves == ()


@pytest.mark.parametrize("share", [0.5, *(pytest.param(part, marks=pytest.mark.long) for part in (1.0, 0.25))])
def test_where_all_of_the_way_is_too_far_less_of_it_is_offered(engine, monkeypatch, share):
    """The full figures are made to refuse what goes farther than a share of the way."""
    plan = behind_the_worker()
    whole = nudged(plan, FOOT, engine, better="body shadow")
    asked = []

    def bears_out(nudge):
        asked.append(nudge.plan)
        return max(abs(dy) for _, _, dy in nudge.moves) <= share * max(abs(dy) for _, _, dy in whole.moves) + 0.01

    monkeypatch.setattr(improve, "_is_better", bears_out)
    part = nudged(plan, FOOT, engine, better="body shadow")
    assert len(asked) == {1.0: 1, 0.5: 2, 0.25: 3}[share]
    for (one, dx, dy), (same, x, y) in zip(part.moves, whole.moves, strict=True):
        assert one == same
        assert (dx, dy) == pytest.approx((share * x, share * y), abs=0.01)


def test_part_of_the_way_that_is_no_place_for_a_fixture_is_left_out(engine):
    plan = bare(model=STRIP)
    for x in (3.0, 9.0):
        plan, _ = hung(plan, STRIP, x * FOOT, 5.5 * FOOT)
    watch = Watch(None, None)
    climb = Climb(plan, 9 * FOOT, engine.ready_room(replace(plan, fixtures=()), watch), watch, "dark spots")
    first, second = plan.fixtures
    swapped = moved(moved(plan, [first.id], 6 * FOOT, 0.0), [second.id], -6 * FOOT, 0.0)
    assert climb.part_of_the_way(swapped, 1.0) is not None
    assert climb.part_of_the_way(swapped, 0.5) is None
