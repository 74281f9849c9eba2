"""Lines chosen and moved about: never better than what trying every set of lines finds, and seldom worse."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.suggest.aligned import Aligned
from core.suggest.candidates import CLEAR
from core.suggest.lines import LinePool
from core.suggest.refine import fewest_lines, mended
from core.suggest.request import Limits, Request
from core.suggest.responses import Responses
from core.suggest.search import Search
from core.suggest.trust import Trust
from core.units import FOOT, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, bare

ENOUGH = Limits(nodes=200, seconds=30.0)


def pool_for(light_fc: float, width_ft: float = 9.0, depth_ft: float = 7.0, **asked) -> tuple[LinePool, Search]:
    plan, watch = bare(width_ft, depth_ft), Watch(None, None)
    request = Request(minimum=light_fc * LUX_PER_FC, step=2 * FOOT, **asked)
    responses = Responses(plan, LightEngine(step=0.3).ready_room(plan, watch), PANEL, watch)
    search = Search(plan, PANEL, request, responses, Trust(responses.readings))
    return Aligned(search).pool(0), search


@pytest.fixture(scope="module")
def pool() -> LinePool:
    return pool_for(55.0)[0]


def do_not_touch(pool: LinePool, lines) -> bool:
    at = sorted(pool.bundles[line[0]].across[line[1]] for line in lines)
    wide = 2 * pool.bundles[0].half + CLEAR
    return all(b - a >= wide - 1e-6 for a, b in pairwise(at))


def is_met(pool: LinePool, lines) -> bool:
    return bool((np.sum([pool.light(line) for line in lines], axis=0) >= pool.right - 1e-6).all())


def fewest_of_all(pool: LinePool, most_lines: int) -> int:
    """Try every set of up to so many lines; return the fewest fixtures that meet the demands."""
    (bundle,) = pool.bundles
    every = [(0, a, k) for a in range(len(bundle.across)) for k in range(len(bundle.spots))]
    best = 99
    for count in range(1, most_lines + 1):
        for places in combinations(range(len(bundle.across)), count):
            sets = [[line for line in every if line[1] == place] for place in places]
            if not do_not_touch(pool, [part[0] for part in sets]):
                continue
            lights = [np.array([pool.light(line) for line in part]) for part in sets]
            sizes = [np.array([pool.size(line) for line in part]) for part in sets]
            total, number = lights[0], sizes[0]
            for more, size in zip(lights[1:], sizes[1:], strict=True):
                total = (total[:, None] + more[None]).reshape(-1, total.shape[1])
                number = (number[:, None] + size[None]).ravel()
            met = (total >= pool.right - 1e-6).all(axis=1)
            best = min(best, int(number[met].min(initial=99)))
    return best


def test_lines_come_within_one_of_trying_them_all(pool):
    best = fewest_of_all(pool, 3)
    chosen = pool.best(ENOUGH, 20)
    moved = fewest_lines(pool, chosen, 1)
    for lines in (chosen, moved):
        assert is_met(pool, lines)
        assert do_not_touch(pool, lines)
    assert best <= pool.count(moved) <= best + 1
    assert pool.count(moved) <= pool.count(chosen)


def test_moved_lines_are_even_and_at_whole_steps(pool):
    places = pool.places(fewest_lines(pool, pool.best(ENOUGH, 20), 1))
    for y in np.unique(places.centres[:, 1].round(6)):
        gaps = np.diff(np.sort(places.centres[np.isclose(places.centres[:, 1], y), 0]))
        assert np.allclose(gaps, gaps.mean() if gaps.size else 0.0, atol=1e-6)


def test_a_line_that_misses_a_little_is_mended():
    pool, _ = pool_for(55.0)
    lines = fewest_lines(pool, pool.best(ENOUGH, 20), 1)
    pool.lift(np.full(len(pool.right), 1.1))
    assert not is_met(pool, lines)
    better = mended(pool, lines)
    assert better is not None
    assert is_met(pool, better)
    assert do_not_touch(pool, better)
    assert pool.count(better) <= pool.count(lines) + 1


def test_mirrored_lines_are_mirrored():
    pool, search = pool_for(45.0, symmetric=True)
    x0, _, x1, _ = search.ceiling.room.bounds
    centres = pool.places(pool.best(ENOUGH, 20)).centres
    mine = {tuple(c) for c in centres.round(3).tolist()}
    assert mine == {(round(x0 + x1 - x, 3), y) for x, y in mine}
