"""Body shadow, glare and circuits of answers: examined at full quality, kept within limits or marked."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.checks.body_shadow import losses
from core.checks.checker import Checker
from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.light.sources import source_of
from core.plan import Fixture, Furniture
from core.plan.wiring import Circuit
from core.suggest.answer import with_answer
from core.suggest.answers import suggest
from core.suggest.comfort import circuit_need
from core.suggest.request import Request, RequestError
from core.suggest.responses import Responses
from core.suggest.shadow_guess import ShadowGuess
from core.units import FOOT, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, bare

FC = LUX_PER_FC
BENCH = Furniture(
    "bench", "bench", "Bench", 6 * FOOT, 8.5 * FOOT, 5 * FOOT, 2 * FOOT, bottom=0.8, top=0.9, worker_side="front"
)
"""Along the back wall; its worker stands in front of it, in the room."""


@pytest.fixture(scope="module")
def engine():
    """Keeps the room of this module."""
    return LightEngine(step=0.3)


@pytest.fixture(scope="module")
def shop():
    """Return a room with one bench."""
    return bare(furniture=(BENCH,))


@pytest.fixture(scope="module")
def least_shadow(shop, engine):
    """Return what is found where body shadow is to be small and little light is asked for."""
    request = Request(average=25 * FC, at_most=5, arrangement="rows", minimise="shadow", glare_limit=5.0, circuits=1)
    return suggest(shop, request, engine)


def panels(*centres):
    return tuple(Fixture(f"p{k}", PANEL.id, x * FOOT, y * FOOT) for k, (x, y) in enumerate(centres))


def by_checker(plan, engine):
    """Return the share that the body takes at the hands, and the worst UGR, of a plan examined afresh."""
    study = Checker(engine).study(plan, engine.solve(plan))
    everything = np.ones(len(plan.fixtures))
    return losses(study.shadows[0], everything).spot, max(view.glare.ugr(everything) for view in study.views)


def test_no_more_than_two_of_a_kind_miss_what_was_asked(least_shadow):
    """Glare of UGR 5 cannot be had in a small white room; every layout that is worked out misses it."""
    kinds = [(answer.model.id, answer.kind) for answer in least_shadow.answers]
    assert kinds
    assert not any(answer.is_met for answer in least_shadow.answers)
    assert max(kinds.count(kind) for kind in kinds) <= 2


def test_the_shown_figures_are_those_of_the_checks(shop, least_shadow, engine):
    answer = least_shadow.answers[0]
    ((bench, share),) = answer.comfort.shadows
    shadow, glare = by_checker(with_answer(shop, answer), engine)
    assert bench == "bench"
    assert share == pytest.approx(shadow, abs=0.005)
    assert answer.comfort.glare == pytest.approx(glare, rel=0.01)


def test_answers_are_ranked_by_shadow_and_a_glare_that_is_missed_is_said(least_shadow):
    shadows = [round(answer.comfort.worst_shadow, 2) for answer in least_shadow.answers]
    assert shadows == sorted(shadows)
    assert all(answer.comfort.glare > 5.0 for answer in least_shadow.answers)
    assert not any(answer.is_met for answer in least_shadow.answers)
    part = next(part for part in least_shadow.in_the_way if part.what == "glare")
    assert part.wanted == 5.0
    assert part.reached == pytest.approx(least_shadow.answers[0].comfort.glare)


def test_a_limit_of_shadow_is_kept_or_marked(shop, engine):
    result = suggest(shop, Request(average=40 * FC, arrangement="rows", shadow_limit=0.15), engine)
    assert result.answers
    for answer in result.answers:
        assert answer.is_met == (answer.comfort.worst_shadow <= 0.15)
        assert bool(answer.short) != answer.is_met
        for part in answer.short:
            assert (part.what, part.where, part.reached) == ("body shadow", "Bench", answer.comfort.worst_shadow)


def test_a_lamp_behind_the_worker_costs_more_than_one_in_front(shop, engine):
    """By the geometry alone: a body between lamp and hands blocks, one behind the lamp does not. The order agrees
    with the full check."""
    watch = Watch(None, None)
    responses = Responses(shop, LightEngine(step=0.3).ready_room(shop, watch), PANEL, watch)
    guess = ShadowGuess(shop)
    behind, ahead = panels((6.0, 3.0)), panels((6.0, 8.0))
    estimates, found = [], []
    for fixtures in (behind, ahead):
        plan = replace(shop, fixtures=fixtures)
        light = responses.of(fixtures, PANEL).sum(axis=1)[responses.readings.bench == 0].mean()
        estimates.append(float(guess.shares([source_of(plan, f) for f in fixtures], {"bench": float(light)})[0]))
        found.append(by_checker(plan, engine)[0])
    assert estimates[0] > estimates[1]
    assert found[0] > found[1]
    assert estimates == pytest.approx(found, abs=0.15)


def test_circuits_are_counted_by_hand(shop):
    """40 W panels on 120 V: 1/3 A each; a 15 A breaker carries 12 A of lights that burn long (80 %, NFPA 70
    210.20(A)), which is 36 panels; one switch with 37 has to be divided, three with 25 each need a circuit each."""

    def hanging(*counts):
        groups = [letter for letter, count in zip("ABC", counts, strict=False) for _ in range(count)]
        fixtures = [Fixture(f"p{k}", PANEL.id, 1.0 + 0.01 * k, 1.0, group=letter) for k, letter in enumerate(groups)]
        wiring = replace(shop.wiring, circuits=(Circuit("lights", "Lights", groups=("A", "B", "C")),))
        return replace(shop, fixtures=tuple(fixtures), wiring=wiring)

    assert circuit_need(hanging(36)).circuits == 1
    assert circuit_need(hanging(37)).circuits == 2
    assert circuit_need(hanging(18, 18)).circuits == 1
    need = circuit_need(hanging(25, 25, 25))
    assert need.circuits == 3
    assert need.limit == pytest.approx(12.0)
    assert need.amperes == pytest.approx(25.0)
    assert math.ceil(need.amperes / need.limit) == 3
    assert circuit_need(replace(shop, fixtures=())) is None


def test_shadow_without_a_bench_is_refused():
    with pytest.raises(RequestError, match="nobody stands"):
        Request(average=40 * FC, shadow_limit=0.2).check(bare())
