"""Quick columns: kept ones are those of drag frames, and sharper ones come closer to full solutions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.plan import Furniture
from core.suggest.candidates import Ceiling
from core.suggest.free import FreePlaces
from core.suggest.request import Request
from core.suggest.responses import Responses
from core.suggest.search import Search
from core.suggest.trust import Trust
from core.units import FOOT
from tests.core.suggest.rooms import PANEL, STRIP, bare


@pytest.fixture(scope="module")
def slit():
    """A room with a slit between two tall cabinets: its responses, some fixtures, and their light in full."""
    tall = {"top": 1.9, "bottom": 0.0, "width": 0.6, "depth": 1.4}
    pieces = tuple(Furniture(f"c{k}", "cabinet", f"Cabinet {k}", x=x, y=1.5, **tall) for k, x in enumerate((1.3, 2.25)))
    plan, engine, watch = bare(furniture=pieces), LightEngine(step=0.15), Watch(None, None)
    responses = Responses(plan, engine.ready_room(plan, watch), PANEL, watch)
    ceiling = Ceiling.of(plan, PANEL, Request(minimum=1.0))
    fixtures = ceiling.fixtures(ceiling.grid(2 * FOOT))
    named = tuple(replace(fixture, id=f"f{k}") for k, fixture in enumerate(fixtures))
    return responses, fixtures, engine.solve(replace(plan, fixtures=named)).responses


def test_light_is_the_same_whenever_it_is_asked_for(slit):
    responses, fixtures, _ = slit
    whole = responses.on_every_cell(fixtures, PANEL)
    fresh = Responses(responses.plan, responses._room, PANEL, Watch(None, None))
    on_plane = fresh.readings.cells >= 0
    cells = fresh.readings.cells[on_plane]
    assert np.array_equal(fresh.of(fixtures, PANEL)[on_plane], whole[cells])
    assert np.allclose(fresh.everywhere(fixtures, PANEL), whole.sum(axis=1), rtol=1e-5)
    assert fresh.at_cell(7, fixtures, PANEL) == pytest.approx(whole[7], rel=1e-6)


def test_light_follows_the_lumens(slit):
    responses, _, _ = slit
    dim, bright = (
        Ceiling.of(responses.plan, STRIP, Request(minimum=1.0, setting=setting)).fixture(2.0, 1.2, 0.0)
        for setting in (0, 1)
    )
    light = responses.of([dim, bright], STRIP)
    assert light[:, 1] == pytest.approx(light[:, 0] * 4000.0 / 2500.0, rel=1e-5)


def test_sharper_columns_are_closer_to_full_solutions(slit):
    """In the slit, where half shadows lie, direct light in full halves what sums of quick columns are off."""
    responses, fixtures, full = slit
    points, counted = responses.cells
    narrow = np.flatnonzero(counted & (np.abs(points[:, 0] - 1.775) < 0.17) & (np.abs(points[:, 1] - 1.5) < 0.7))
    assert len(narrow) >= 10
    quick = responses.on_every_cell(fixtures, PANEL)[narrow]
    sharp = responses.sharper(narrow, fixtures, PANEL)
    total = full[narrow].sum(axis=1)
    off = [np.abs(columns.sum(axis=1) / total - 1.0).mean() for columns in (quick, sharp)]
    assert off[1] < 0.01
    each = [np.abs(columns - full[narrow]).mean() for columns in (quick, sharp)]
    assert each[1] < 0.5 * each[0]


def test_full_light_stays_within_what_a_bound_allows_for(slit):
    """Random layouts of four against their full solutions, here and at every spot that counts: at 19 of 20 spots in a
    hundred layouts the full light is no more than the bound allows quick light with full direct light to be off."""
    responses, fixtures, full = slit
    cells = np.flatnonzero(responses.cells[1])
    sharp = responses.sharper(cells, fixtures, PANEL)
    allowed = 1.0 - Trust(responses.readings).sharp_slack(responses.evenly_lit[cells])
    chance = np.random.default_rng(4)
    chosen = [chance.choice(len(fixtures), 4, replace=False) for _ in range(100)]
    ratio = np.array([sharp[:, some].sum(axis=1) / full[cells][:, some].sum(axis=1) for some in chosen])
    assert (ratio >= allowed).mean() > 0.95
    assert abs(ratio.mean() - 1.0) < 0.004


def test_a_search_follows_readings_that_others_took_up():
    """Searches of several models share them; the bound of one is about those that another asked for as well."""
    plan, watch = bare(), Watch(None, None)
    responses = Responses(plan, LightEngine(step=0.08).ready_room(plan, watch), PANEL, watch)
    request, trust = Request(minimum=300.0, step=2 * FOOT), Trust(responses.readings)
    one = Search(responses.plan, PANEL, request, responses, trust)
    before = len(one.demands), FreePlaces(one).bound(20).bound
    responses.read_more(np.flatnonzero(responses.cells[1])[::5].tolist())
    trust.grow(responses.readings)
    assert len(one.demands) > before[0]
    assert len(one.columns) == len(responses.readings)
    assert FreePlaces(one).bound(20).bound >= before[1]
