"""Rows with fixtures where they are needed: they hold, keep apart, and come out with as few as trying all would."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise, product

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.suggest.aligned import Aligned
from core.suggest.candidates import CLEAR, cliques_of
from core.suggest.free import least_parts, soon_anywhere
from core.suggest.lines import Bundle
from core.suggest.request import Request
from core.suggest.responses import Responses
from core.suggest.rows import LEAST_ON_ROW, rows_for
from core.suggest.search import Search
from core.suggest.spaced import SpacedRows
from core.suggest.spacing import Spacing, soon
from core.suggest.trust import Trust
from core.units import FOOT, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, STRIP, bare

SIZE = 0.6


def floor(across: int, along: int, blocked: tuple[tuple[int, int], ...] = ()) -> Bundle:
    """Return places 0.7 m apart that light a floor of their own size, falling off with distance."""
    ys, xs = np.arange(across) * 0.7, np.arange(along) * 0.7
    points = np.array([(x, y) for y in np.linspace(0, ys[-1], 7) for x in np.linspace(0, xs[-1], 9)])
    light = np.zeros((across, along + 1, len(points)), dtype=np.float32)
    free = np.zeros((across, along + 1), dtype=bool)
    for a, m in product(range(across), range(along)):
        away = (points[:, 0] - xs[m]) ** 2 + (points[:, 1] - ys[a]) ** 2
        light[a, m] = 1.0 / (1.0 + away / 1.5) ** 2
        free[a, m] = (a, m) not in blocked
    light[~free] = 0.0
    return Bundle(0.0, ys, xs, SIZE / 2, SIZE, light, free, np.zeros((0, 12), dtype=np.intp))


def fewest_of_all(bundle: Bundle, right: np.ndarray, most: int) -> int:
    """Try every two rows with every set of at least two places on each."""
    places = range(len(bundle.along))
    best = 99
    sets = [s for n in range(LEAST_ON_ROW, most - 1) for s in combinations(places, n)]
    for one, two in combinations(range(len(bundle.across)), 2):
        first = {s: bundle.light[one, list(s)].sum(axis=0) for s in sets if bundle.is_free[one, list(s)].all()}
        second = {s: bundle.light[two, list(s)].sum(axis=0) for s in sets if bundle.is_free[two, list(s)].all()}
        for (s, a), (t, b) in product(first.items(), second.items()):
            if len(s) + len(t) < best and (a + b >= right - 1e-6).all():
                best = len(s) + len(t)
    return best


SOME = ((1, 2), (1, 3), (3, 1))


@pytest.mark.parametrize("asked", [0.45, 0.7, 0.8])
@pytest.mark.parametrize("blocked", [(), SOME])
def test_two_rows_have_as_few_as_trying_them_all(asked, blocked):
    bundle = floor(5, 7, blocked)
    right = np.full(bundle.light.shape[2], asked)
    best = fewest_of_all(bundle, right, 10)
    assert 4 <= best <= 10, "the case has to say something"
    found = SpacedRows(0, [bundle], right)
    assert found.reached(best - 1, 2) is None
    rows = found.reached(best, 2)
    assert rows is not None
    total = np.sum([bundle.light[row.across, list(row.spots)].sum(axis=0) for row in rows], axis=0)
    assert (total >= right - 1e-5).all()
    for row in rows:
        assert bundle.is_free[row.across, list(row.spots)].all()
        assert list(row.spots) == sorted(set(row.spots))


def test_a_demand_that_does_not_look_hard_is_met_too():
    """One more demand, which only the place in a corner meets, but that one amply."""
    bundle = floor(5, 7)
    alone = np.zeros((*bundle.light.shape[:2], 1), dtype=np.float32)
    alone[4, 6] = 90.0
    more = replace(bundle, light=np.concatenate([bundle.light, alone], axis=2))
    without, rows = (SpacedRows(0, [b], np.full(b.light.shape[2], 0.6)).fewest(1, 12) for b in (bundle, more))
    assert not any(row.across == 4 and 6 in row.spots for row in without), "the case has to say something"
    assert any(row.across == 4 and 6 in row.spots for row in rows)


def test_rows_of_turned_strips_keep_apart():
    """8 ft bodies on a 2 ft grid, along or across the row: no two of them touch."""
    plan, watch = bare(16.0, 12.0, model=STRIP), Watch(None, None)
    request = Request(minimum=60 * LUX_PER_FC, step=2 * FOOT)
    responses = Responses(plan, LightEngine(step=0.3).ready_room(plan, watch), STRIP, watch)
    search = Search(plan, STRIP, request, responses, Trust(responses.readings))
    for along in (0, 1):
        layout = Spacing(search, Aligned(search), along).fewest(1, 12)
        assert layout is not None
        assert layout.score >= 1.0
        assert not search.falls_short(layout)
        assert not cliques_of(search.ceiling, layout.places)
        for place in np.unique(layout.places.centres[:, 1 - along].round(6)):
            assert (np.isclose(layout.places.centres[:, 1 - along], place)).sum() >= LEAST_ON_ROW


def test_the_first_layouts_are_found_at_once_and_hold():
    plan, watch = bare(14.0, 11.0), Watch(None, None)
    request = Request(minimum=50 * LUX_PER_FC, step=2 * FOOT)
    responses = Responses(plan, LightEngine(step=0.3).ready_room(plan, watch), PANEL, watch)
    search = Search(plan, PANEL, request, responses, Trust(responses.readings))
    parts = least_parts(search)
    layout, free = soon(search, Aligned(search), int(np.ceil(1.35 * parts))), soon_anywhere(search, int(2 * parts))
    half = search.ceiling.half(0.0)[0]
    for found in (layout, free):
        assert found is not None
        assert found.score >= 1.0
        assert found.count >= parts
        assert not cliques_of(search.ceiling, found.places)
        assert not search.falls_short(found)
    rows = np.unique(layout.places.centres[:, 1].round(6))
    assert all(b - a >= 2 * half + CLEAR - 1e-6 for a, b in pairwise(rows))
    assert soon_anywhere(search, 1) is None


def test_no_row_of_one():
    for count in range(1, 80):
        assert all(number == 1 or number * LEAST_ON_ROW <= count for number in rows_for(count))
        assert len(rows_for(count))
