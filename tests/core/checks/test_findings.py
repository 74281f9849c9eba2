"""What the list of findings says on shops of many kinds, and which settings it is made for."""

from dataclasses import replace

import numpy as np
import pytest

from core.checks.body_shadow import losses
from core.checks.checker import Checker
from core.checks.findings import findings, findings_csv, findings_of_all, named_settings
from core.checks.standing import at_work_height, can_stand, stand_at, stands
from core.light.engine import LightEngine
from core.plan import Combination, Furniture, Level
from core.units import LUX_PER_FC
from tests.core.checks.shops import bench_shop

ON = {"A": 1.0}
TALL = Furniture("saw", "machine", "Band saw", 2.25, 0.35, 0.7, 0.7, 1.9, worker_side="back")
RACK = Furniture("rack", "cabinet", "Rack", 2.25, 3.4, 1.0, 0.3, 1.9)


@pytest.fixture(scope="module")
def checker():
    return Checker(LightEngine(step=0.6))


@pytest.fixture(scope="module")
def shop():
    """The strip behind the worker of a bench, and a rack at the far wall that faces the room."""
    plan = bench_shop(1.9)
    return replace(plan, furniture=(*plan.furniture, RACK))


@pytest.fixture(scope="module")
def study(checker, shop):
    return checker.study(shop)


def about(found, what):
    return next(finding for finding in found if finding.what.startswith(what))


@pytest.fixture(scope="module")
def at_saw(checker):
    return checker.study(replace(bench_shop(1.9), furniture=(TALL,)))


def test_a_tall_machine_has_its_shadow_on_its_table(at_saw):
    """A box 1.9 m high would hide its table: it is cut off at the work plane, 36 in."""
    found = findings(at_saw, "All on", ON)
    shadow = about(found, "body shadow")
    assert shadow.where == "Band saw"
    assert shadow.severity.word == "to do"
    assert "behind the worker" in shadow.cause
    assert "Read on its table, 3' up" in shadow.cause
    assert about(found, "average light on its table").target == f"at least {500 / LUX_PER_FC:.1f}"
    assert at_saw.shadows[0].points[:, 2] == pytest.approx(0.9144)


def test_a_tall_machine_gets_the_light_that_a_bench_in_its_place_gets(checker, at_saw):
    """The same box, 36 in high and a bench, has the same loss: within 2 points of the quick solutions."""
    low = replace(bench_shop(1.9), furniture=(replace(TALL, kind="bench", top=0.9144),))
    bench = losses(checker.study(low).shadows[0], np.ones(1))
    saw = losses(at_saw.shadows[0], np.ones(1))
    assert saw.worst == pytest.approx(bench.worst, abs=0.02)
    assert saw.average == pytest.approx(bench.average, abs=0.02)


def test_what_is_cut_off_and_what_is_not():
    plan = replace(bench_shop(1.9), furniture=(TALL, replace(TALL, id="low", top=1.1)))
    assert at_work_height(plan, TALL).piece("saw").top == 0.9144
    assert at_work_height(plan, plan.piece("low")) is plan
    hung = replace(TALL, id="hung", bottom=1.6, top=2.2)
    assert 1.6 < at_work_height(replace(plan, furniture=(hung,)), hung).piece("hung").top <= 2.2


def test_other_names_and_targets_are_taken_over_without_working_anything_out(checker, shop, study, at_saw):
    made = checker.shadows_made
    other = replace(shop.furniture[0], name="Old bench", target_lux=200.0)
    found = findings(checker.study(replace(shop, furniture=(other, RACK))), "All on", ON)
    assert checker.shadows_made == made
    assert about(found, "body shadow").where == "Old bench"
    assert any(f.where == "Old bench, turned round" for f in found)
    saw = replace(at_saw.plan, furniture=(replace(TALL, target_lux=200.0),))
    assert about(findings(checker.study(saw), "All on", ON), "average light on its table").severity.word == "good"
    assert checker.shadows_made == made


def test_a_rack_gets_vertical_cylindrical_and_modelling(study):
    rack = about(findings(study, "All on", ON), "vertical light on its front")
    assert rack.where == "Rack"
    for words in ("vertical", "cylindrical", "modelling"):
        assert words in rack.cause
    light = study.racks[0].light
    assert light.vertical(np.ones(1)) > light.cylindrical(np.ones(1)) > 0.0, "the strip hangs before its front"


def test_every_finding_that_is_not_good_names_cause_and_remedy(checker, study):
    nobody = replace(study.plan, furniture=())
    dark = replace(study.plan, fixtures=())
    for found in (findings_of_all(study), findings_of_all(checker.study(nobody)), findings_of_all(checker.study(dark))):
        assert found
        assert [f for f in found if f.severity.word != "good" and not (f.cause and f.remedy)] == []


def test_each_list_has_the_most_important_first(study):
    for name, levels in named_settings(study.plan):
        found = findings(study, name, levels)
        assert [f.severity for f in found] == sorted(f.severity for f in found)
        for severity in {f.severity for f in found}:
            weights = [f.weight for f in found if f.severity == severity]
            assert weights == sorted(weights, reverse=True)


def test_every_named_setting_has_its_findings(shop, study):
    """Also one that the user calls like a list of letters, or 'All off'; other lists of letters have no name."""
    kept = (Combination("B and A", (Level("A", 0.5),)), Combination("All off", (Level("A", 0.3),)))
    names = [name for name, _ in named_settings(replace(shop, combinations=kept))]
    assert names == ["All on", "A alone", "B alone", "B and A", "All off"]
    settings = named_settings(replace(shop, combinations=kept))
    found = findings_of_all(study.of(replace(shop, combinations=kept)), settings)
    assert {f.combination for f in found} == set(names)
    text = findings_csv(found)
    assert text.splitlines()[0] == "severity,combination,where,what,figure,unit,target,source,cause,remedy"


def test_a_shadow_where_there_is_hardly_any_light_comes_after_the_want_of_light(shop, checker):
    faint = replace(
        shop, models=tuple(replace(m, settings=(replace(m.settings[0], lumens=400.0),)) for m in shop.models)
    )
    found = findings(checker.study(faint), "All on", ON)
    shadow, light = about(found, "body shadow"), about(found, "average light on its top")
    assert (shadow.severity.word, light.severity.word) == ("to mind", "to do")
    assert "hardly any light" in shadow.cause
    assert shadow.remedy


def test_a_marked_side_at_a_wall_is_told_and_not_judged(shop, study, checker):
    wrong = replace(shop, furniture=(replace(shop.furniture[0], worker_side="front"),))
    stand = stands(wrong)[0]
    assert not can_stand(wrong, stand)
    assert can_stand(shop, stands(shop)[0])
    found = findings(checker.study(wrong), "All on", ON)
    assert about(found, "place to stand").remedy
    assert not any(f.what.startswith(("body shadow", "hand shadow")) for f in found)
    blocked = replace(shop, furniture=(*shop.furniture, Furniture("box", "cabinet", "Box", 2.25, 0.95, 0.6, 0.4, 1.2)))
    assert not can_stand(blocked, stand_at(shop.furniture[0], shop.worker))


def test_a_worker_who_does_not_fit_under_the_ceiling_does_no_harm(shop, checker):
    giant = replace(shop, worker=replace(shop.worker, height=2.9))
    found = findings(checker.study(giant), "All on", ON)
    assert 50.0 < about(found, "body shadow").figure <= 100.0


def test_metric_plans_speak_of_lux_and_metres(shop, study):
    found = findings(study.of(replace(shop, units="metric")), "All on", ON)
    assert {f.unit for f in found if f.what.startswith("average light")} == {"lx"}
    assert "m behind the worker" in about(found, "body shadow").cause
    assert not any('"' in f.remedy or " fc" in f.cause for f in found)
