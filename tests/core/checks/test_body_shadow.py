"""The body's shadow: against an independent renderer (the pair j1, j2), and cause and remedy of a wrong layout."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.checks.body_shadow import losses, losses_of
from core.checks.checker import Checker
from core.checks.findings import findings
from core.checks.hand_shadow import hand_shadow
from core.checks.shadow_remedy import culprit, is_fine, remedy, where_from
from core.checks.standing import body_at, stand_at
from core.light.engine import LightEngine
from core.light.sources import sources_of
from core.plan import Fixture, KeepOut
from core.plan.edits import moved
from tests.core.checks.shops import bench_shop

REFERENCE = Path(__file__).parents[2] / "reference" / "public"


@pytest.fixture(scope="module")
def engine():
    return LightEngine()


@pytest.fixture(scope="module")
def wrong(engine):
    """The strip 0.95 m behind the worker."""
    plan = bench_shop(1.9)
    return Checker(engine).study(plan)


@pytest.fixture(scope="module")
def right(engine):
    """The strip over the bench's edge that is nearer to the worker."""
    return Checker(engine).study(bench_shop(0.5))


def reference(name: str) -> dict:
    return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))


def test_light_with_and_without_the_worker_is_that_of_the_reference_renderer(engine):
    """j1 and j2 by Mitsuba 3.9.1 (tests/reference/public/README.md), standard error below 0.05 %."""
    bare, shaded = reference("j1_bench_alone"), reference("j2_bench_with_body")
    plan = bench_shop(1.9)
    stand = stand_at(plan.furniture[0], plan.worker)
    assert (stand.x, stand.y) == pytest.approx((2.25, 0.95))
    points, normals = np.array(bare["points"]), np.array(bare["normals"])
    before = engine.receive(plan, points, normals)[:, 0]
    after = engine.receive(plan, points, normals, extra=body_at(plan, stand))[:, 0]
    assert before == pytest.approx(np.array(bare["E_lux"]), rel=0.015)
    edge = np.array(shaded["near_shadow_edge"])
    assert after[~edge] == pytest.approx(np.array(shaded["E_lux"])[~edge], rel=0.02)
    loss, true = 1 - after / before, 1 - np.array(shaded["E_lux"]) / np.array(bare["E_lux"])
    assert np.abs(loss - true).max() < 0.015


def test_quick_shadow_stays_near_the_thorough_one(engine, wrong):
    plan = wrong.plan
    thorough = Checker(engine).study(plan, thorough=True).shadows[0]
    one = np.ones(1)
    share = [1 - (s.after @ one) / (s.before @ one) for s in (wrong.shadows[0], thorough)]
    assert np.abs(share[0] - share[1]).max() < 0.04
    assert np.abs(share[0] - share[1]).mean() < 0.01


def test_losses_of_known_light():
    before, after = np.full(10, 100.0), np.array([100, 100, 100, 85, 75, 75, 65, 65, 45, 20.0])
    spot = np.zeros(10, dtype=bool)
    spot[[8, 9]] = True
    found = losses_of(before, after, spot, np.zeros((10, 3)))
    assert found.over == pytest.approx((0.6, 0.4, 0.2))
    assert (found.worst, found.average, found.spot) == pytest.approx((0.8, 0.27, 0.675))


def test_a_strip_behind_the_worker_is_the_cause_and_a_place_over_the_bench_the_remedy(wrong):
    shadow, one = wrong.shadows[0], np.ones(1)
    found = losses(shadow, one)
    assert found.worst > 0.6
    assert not is_fine(found)
    thrower = culprit(shadow, wrong.sources, one)
    assert thrower.where.ahead == pytest.approx(-0.95, abs=0.01)
    assert thrower.where.words == "behind the worker"
    cure = remedy(wrong.plan, shadow, wrong.sources, one)
    assert cure.enough
    assert len(cure.moves) == 1
    assert 0.7 < cure.moves[0].distance < 1.9
    assert cure.moves[0].y == pytest.approx(1.9 - cure.moves[0].distance)


def test_no_fixture_is_sent_where_another_one_hangs(engine, wrong):
    """Another strip, switched off, hangs right at the place that would be the remedy."""
    place = remedy(wrong.plan, wrong.shadows[0], wrong.sources, np.ones(1)).moves[0]
    plan = bench_shop(1.9, Fixture("fixture-2", "strip", place.x, place.y, height=2.47, group="B"))
    study = Checker(engine).study(plan)
    cure = remedy(plan, study.shadows[0], study.sources, np.array([1.0, 0.0]))
    width = plan.model("strip").width
    assert cure is None or all(abs(move.y - place.y) >= width for move in cure.moves)
    assert cure is not None
    assert cure.moves[0].fixture == 0


def test_the_remedy_holds_when_it_is_carried_out(engine, wrong):
    """A layout changed as told, worked out anew from nothing, is fine within what the search may be off."""
    move = remedy(wrong.plan, wrong.shadows[0], wrong.sources, np.ones(1)).moves[0]
    plan = moved(wrong.plan, ["fixture-1"], 0.0, -move.distance)
    after = losses(Checker(engine).study(plan).shadows[0], np.ones(1))
    assert after.worst < 0.25
    assert after.spot < 0.12


def test_findings_tell_the_wrong_layout_from_the_right_one(wrong, right):
    bad = next(f for f in findings(wrong, "all on", {"A": 1.0}) if f.what.startswith("body shadow"))
    good = next(f for f in findings(right, "all on", {"A": 1.0}) if f.what.startswith("body shadow"))
    assert (bad.severity.word, good.severity.word) == ("to do", "good")
    assert bad.figure > 60.0 > 25.0 > good.figure
    assert "4 ft strip (fixture-1, switch A)" in bad.cause
    assert "behind the worker" in bad.cause
    assert "Move 4 ft strip" in bad.remedy
    assert "towards and over the bench" in bad.remedy
    assert good.remedy == ""
    assert "fixture-1" in bad.about


def test_of_two_fixtures_the_one_behind_is_named(engine):
    plan = bench_shop(1.9, Fixture("fixture-2", "strip", 2.25, 0.4, height=2.47))
    study = Checker(engine).study(plan)
    assert culprit(study.shadows[0], study.sources, np.ones(2)).fixture == 0
    assert culprit(study.shadows[0], study.sources, np.array([0.0, 1.0])) is None or is_fine(
        losses(study.shadows[0], np.array([0.0, 1.0]))
    )


def test_leaning_in_takes_more_light(engine, right):
    leaning = losses(Checker(engine).study(bench_shop(0.5, leaning=True)).shadows[0], np.ones(1))
    upright = losses(right.shadows[0], np.ones(1))
    assert leaning.worst > upright.worst + 0.3
    assert leaning.spot > upright.spot + 0.02


def test_nobody_works_under_the_trunk_of_one_who_leans_in(engine, right):
    """The trunk is pushed 0.30 m forward: its front is 0.30 - 0.125 m over the top, as wide as the body."""
    shadow = Checker(engine).study(bench_shop(0.5, leaning=True)).shadows[0]
    covered = shadow.points[~shadow.workable]
    assert len(covered) > 0
    assert covered[:, 1].min() >= 0.70 - (0.30 - 0.125) - 1e-9
    assert np.abs(covered[:, 0] - 2.25).max() <= 0.225
    assert not (shadow.spot & ~shadow.workable).any()
    assert right.shadows[0].workable.all()


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (2.25, 1.9, "behind the worker"),
        (1.55, 1.9, "behind the worker and to the right"),
        (2.95, 1.9, "behind the worker and to the left"),
        (0.6, 1.0, "to the worker's right"),
        (3.9, 1.0, "to the worker's left"),
        (2.25, 0.95, "right above the worker"),
        (2.35, 0.95, "right above the worker"),
        (2.15, 0.90, "right above the worker"),
        (2.25, 0.4, "in front of the worker"),
    ],
)
def test_where_a_fixture_is_for_the_worker(right, x, y, words):
    """The worker at (2.25, 0.95) looks along -y."""
    source = replace(right.sources[0], centre=(x, y, 2.47))
    assert where_from(right.shadows[0], source).words == words


def test_where_no_move_helps_the_place_of_another_lamp_is_named(engine):
    """A strip as far towards the bench as the room allows, and low: the shadow stays, a lamp beyond is asked."""
    plan = bench_shop(1.9)
    wall = replace(plan.room, keep_outs=(KeepOut("duct", "duct", 2.25, 0.7, 4.4, 1.35, 0.0, 0.1),))
    study = Checker(engine).study(replace(plan, room=wall))
    bad = next(f for f in findings(study, "all on", {"A": 1.0}) if f.what.startswith("body shadow"))
    stand = study.shadows[0].stand
    assert stand.far_side == pytest.approx((2.25, 0.7 - 0.75 * 0.7))
    assert 'a lamp at the far side of the bench, over 7\' 5" from the left and 7" from the lower wall' in bad.remedy


def test_renaming_and_rewiring_work_nothing_out(engine):
    checker = Checker(engine)
    plan = bench_shop(1.9)
    checker.study(plan)
    made = checker.shadows_made
    other = replace(plan, name="Other", fixtures=tuple(replace(f, group="B", name="Old strip") for f in plan.fixtures))
    again = checker.study(other)
    assert checker.shadows_made == made
    shadow = next(f for f in findings(again, "B", {"B": 1.0}) if f.what.startswith("body shadow"))
    assert "Old strip" in shadow.cause


def test_hand_shadow_by_similar_triangles():
    """An edge t up under an opening w wide, H up: t w / (H - t)."""
    plan = bench_shop(0.5)
    stand, sources = stand_at(plan.furniture[0], plan.worker), sources_of(plan)
    found = hand_shadow(stand, sources, np.array([300.0]), np.array([400.0]), "right")
    assert found.penumbra == pytest.approx(0.1016 * 0.15 / (2.47 - 0.91 - 0.1016))
    assert found.penumbra_wide == pytest.approx(0.1016 * 1.2 / (2.47 - 0.91 - 0.1016))
    assert (found.share, found.matter) == (0.75, 1)


@pytest.mark.parametrize(("hand", "expected"), [("right", 0.75), ("left", 0.25)])
def test_light_over_the_working_hand(hand, expected):
    """The worker looks along -y, so the right hand is on the side of smaller x."""
    plan = bench_shop(0.5, Fixture("fixture-2", "strip", 3.5, 0.5, height=2.47))
    plan = moved(plan, ["fixture-1"], -1.25, 0.0)
    stand = stand_at(plan.furniture[0], plan.worker)
    found = hand_shadow(stand, sources_of(plan), np.array([300.0, 100.0]), np.array([350.0, 150.0]), hand)
    assert found.hand_side == pytest.approx(expected)
    assert found.hand_side + found.other_side == pytest.approx(1.0)
