"""Screws in wood: counted by hand, had by shifting whole rows, at the cost of no fixture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.ceiling.conflicts import conflicts
from core.light.engine import LightEngine
from core.plan import JoistZone, Opening
from core.suggest import shelf
from core.suggest.answer import figures_of, with_answer
from core.suggest.answers import suggest
from core.suggest.candidates import Ceiling, Places
from core.suggest.on_joists import fixtures_on_joists, shifted_to_joists
from core.suggest.request import Request, RequestError
from core.units import FOOT, INCH, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, STRIP, bare
from tests.core.suggest.test_comfort import BENCH

FC = LUX_PER_FC
ALONG, UP = 0.0, 90.0


@pytest.fixture(scope="module")
def engine():
    """Keeps the rooms of this module."""
    return LightEngine(step=0.3)


def framed(direction, model=STRIP, offset=0.0, spacing=16 * INCH, width_ft=14.0):
    """Return a room whose joists run in a direction."""
    plan = bare(width_ft, 11.0, model=model)
    joists = (JoistZone("joists", direction, spacing=spacing, offset=offset),)
    return replace(plan, room=replace(plan.room, joists=joists))


def hung_at(plan, model, *places, wall_distance=FOOT):
    """Return the ceiling, and places [ft] with bodies along x."""
    ceiling = Ceiling.of(plan, model, Request(wall_distance=wall_distance))
    return ceiling, Places(np.array(places) * FOOT, np.zeros(len(places)))


def count(ceiling, places):
    return fixtures_on_joists(ceiling.plan, ceiling.fixtures(places))


def test_screws_are_counted_by_hand():
    """Joists of 1 1/2 in along x at y = 0, 16, 32, 48, 64 in …; a strip has two screws in its own line, a panel of
    2 x 2 ft four at 9 in from its middle both ways. A screw bites 1/4 in inside the wood's edge."""
    ceiling, places = hung_at(framed(ALONG), STRIP, (5.0, 64 / 12), (5.0, 64.45 / 12), (5.0, 64.55 / 12), (5.0, 6.0))
    assert [count(ceiling, Places(places.centres[[k]], places.turns[[k]])) for k in range(4)] == [1, 1, 0, 0]
    ceiling, places = hung_at(framed(ALONG, PANEL), PANEL, (5.0, 55 / 12), (5.0, 5.0))
    assert count(ceiling, places) == 1, "two of four at 64 in are half; 51 and 69 in are in the bays"
    assert fixtures_on_joists(bare(), ceiling.fixtures(places)) is None


def test_rows_go_square_to_the_joists_and_stay_rows():
    row = [(x, 4.9) for x in (2.7, 7.0, 11.3)]
    ceiling, places = hung_at(framed(ALONG), STRIP, *row, (2.7, 7.5), (11.3, 7.5))
    there = shifted_to_joists(ceiling, places)
    assert count(ceiling, places) == 0
    assert count(ceiling, there) == 5
    moved = there.centres - places.centres
    assert np.abs(moved[:, 0]).max() == 0.0
    assert 0.0 < np.abs(moved[:, 1]).max() <= 8 * INCH + 1e-6
    assert np.ptp(moved[:3, 1]) == np.ptp(moved[3:, 1]) == 0.0


def test_bodies_end_to_end_stay_together():
    """Three strips end to end, joists across them: the run moves as one."""
    gap = STRIP.length / FOOT + 0.04
    ceiling, places = hung_at(framed(UP, offset=2 * INCH), STRIP, *[(2.6 + gap * k, 5.0) for k in range(3)])
    there = shifted_to_joists(ceiling, places)
    assert count(ceiling, there) > count(ceiling, places)
    assert np.ptp((there.centres - places.centres)[:, 0]) == pytest.approx(0.0, abs=1e-9)


def test_a_mirrored_layout_stays_mirrored():
    mirrored = [(4.0, 5.0), (10.0, 5.0)]
    ceiling, places = hung_at(framed(UP, offset=2 * INCH), STRIP, *mirrored)
    assert shifted_to_joists(ceiling, places) is not None
    assert shifted_to_joists(ceiling, places, is_symmetric=True) is None
    ceiling, places = hung_at(framed(ALONG), STRIP, *mirrored)
    there = shifted_to_joists(ceiling, places, is_symmetric=True)
    assert there.centres[:, 0].sum() == pytest.approx(14.0 * FOOT)
    assert count(ceiling, there) == 2


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from([ALONG, UP, 30.0]),
    st.floats(0.0, 0.4),
    st.lists(st.tuples(st.integers(0, 4), st.integers(0, 2)), min_size=1, max_size=6, unique=True),
)
def test_shifted_places_are_free_and_nearer_than_half_a_bay(direction, offset, spots):
    ceiling, places = hung_at(
        framed(direction, PANEL, offset), PANEL, *[(1.6 + 2.5 * i, 2 + 2.5 * j) for i, j in spots]
    )
    assert ceiling.free(places.centres, places.turns).all()
    there = shifted_to_joists(ceiling, places)
    if there is None:
        return
    assert count(ceiling, there) > count(ceiling, places)
    assert ceiling.free(there.centres, there.turns).all()
    assert np.hypot(*(there.centres - places.centres).T).max() <= 8 * INCH + 1e-6
    apart = np.abs(there.centres[:, None] - there.centres[None]).max(axis=2) + 9.0 * np.eye(len(there))
    assert apart.min() >= 2 * FOOT, "panels do not overlap"


def test_a_search_puts_more_on_joists_with_no_more_fixtures(engine):
    plan = framed(ALONG, offset=3 * INCH)
    door = Opening("door", "overhead door", wall=0, start=1.0, width=2.4, height=2.0)
    plan = replace(plan, room=replace(plan.room, openings=(door,)))
    asked = Request(average=70 * FC, minimum=30 * FC, arrangement="rows")
    anywhere, wood = (suggest(plan, each, engine) for each in (asked, replace(asked, on_joists=True)))
    best, other = wood.answers[0], anywhere.answers[0]
    assert best.is_met
    assert best.count <= other.count
    assert best.on_joists > other.on_joists
    there = with_answer(plan, best)
    assert fixtures_on_joists(plan, best.fixtures) == best.on_joists
    assert best.as_data(plan)["on_joists"] == best.on_joists
    found = figures_of(engine.solve(there))
    assert found.average >= 70 * FC
    assert found.minimum >= 30 * FC
    assert not [c for c in conflicts(there) if c.severity == "conflict"]


def test_what_would_hold_less_on_joists_stays_where_it_was(engine, monkeypatch):
    """Rows are made to be shifted into a corner, where they miss the minimum."""
    plan = framed(ALONG)
    asked = Request(average=50 * FC, minimum=20 * FC, arrangement="rows")
    tried = []

    def into_a_corner(ceiling, places, is_symmetric=False):
        tried.append(len(places))
        return Places(places.centres * 0.2 + 2 * FOOT, places.turns)

    plain = suggest(plan, asked, engine)
    monkeypatch.setattr(shelf, "shifted_to_joists", into_a_corner)
    kept = suggest(plan, replace(asked, on_joists=True), engine)
    assert tried
    assert kept.answers[0].is_met
    assert kept.answers[0].count == plain.answers[0].count
    assert min(fixture.x for fixture in kept.answers[0].fixtures) == min(f.x for f in plain.answers[0].fixtures)


def at_a_bench():
    """Return a framed room with a worker at a bench along its back wall."""
    return replace(framed(ALONG, width_ft=12.0), furniture=(replace(BENCH, y=9.5 * FOOT),))


@pytest.mark.long
def test_answers_that_miss_a_limit_in_any_case_hang_on_joists_too(engine):
    asked = Request(average=60 * FC, arrangement="rows", shadow_limit=0.001, at_most=2)
    plain, wood = (suggest(at_a_bench(), each, engine).answers for each in (asked, replace(asked, on_joists=True)))
    assert not any(answer.is_met for answer in (*plain, *wood))
    assert wood[0].count <= plain[0].count
    assert wood[0].on_joists == wood[0].count > plain[0].on_joists
    assert all(answer.on_joists >= 2 for answer in wood)


@pytest.mark.long
def test_a_row_whose_shift_brings_it_behind_the_worker_stays(engine, monkeypatch):
    plan = at_a_bench()
    asked = Request(average=15 * FC, arrangement="rows", shadow_limit=0.2)
    tried = []

    def behind(_ceiling, places, is_symmetric=False):
        tried.append(places)
        return Places(np.tile([6.0 * FOOT, 5.0 * FOOT], (len(places), 1)), places.turns)

    plain = suggest(plan, asked, engine)
    assert plain.answers[0].is_met
    monkeypatch.setattr(shelf, "shifted_to_joists", behind)
    kept = suggest(plan, replace(asked, on_joists=True), engine)
    assert tried
    assert kept.answers[0].is_met
    assert kept.answers[0].count == plain.answers[0].count
    assert kept.answers[0].comfort.worst_shadow <= 0.2


def test_joists_have_to_be_drawn():
    with pytest.raises(RequestError, match="no joists"):
        Request(average=40 * FC, on_joists=True).check(bare())
    Request(average=40 * FC, on_joists=True).check(framed(UP))
