"""Edits of the wiring: what is assumed becomes the plan's own, and each edit does one thing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.plan import Furniture
from core.plan.file import plan_from_text, plan_to_text
from core.plan.wiring import Wiring
from core.units import FOOT
from core.wiring import wired, with_assumptions
from core.wiring.decisions import (
    with_assumed,
    with_circuit,
    with_dimmer,
    with_lead,
    with_new_circuit,
    with_others,
    with_panel_at,
    with_place_at,
    with_stages,
    with_switch_box_at,
    without_circuit,
    without_switch_box,
)
from tests.core.plan.strategies import plans
from tests.core.wiring.shops import fixture, shop

PLAN = shop([fixture(1, 4, 8), fixture(2, 10, 8, "B")])


@given(plans())
@settings(max_examples=30, deadline=None)
def test_taking_over_what_is_assumed_changes_no_figure(plan):
    taken = with_assumed(plan)
    before, after = wired(plan), wired(taken)
    assert after.assumed == frozenset()
    assert [load.total for load in after.loads] == [load.total for load in before.loads]
    assert [run.length for run in after.routing.runs] == [run.length for run in before.routing.runs]
    assert with_assumed(taken) == taken
    assert plan_from_text(plan_to_text(taken)) == taken


def test_the_panel_and_boxes_go_on_the_nearest_wall():
    plan = with_panel_at(PLAN, 19 * FOOT, 5 * FOOT)
    assert (plan.wiring.panel.x, plan.wiring.panel.y) == pytest.approx((20 * FOOT, 5 * FOOT))
    plan = with_switch_box_at(plan, 3 * FOOT, 15 * FOOT, "BxA")
    box = plan.wiring.switch_boxes[-1]
    assert (box.x, box.y, box.groups) == (pytest.approx(3 * FOOT), pytest.approx(16 * FOOT), ("B", "A"))
    assert without_switch_box(plan, box.id).wiring.switch_boxes == PLAN.wiring.switch_boxes
    with pytest.raises(ValueError, match="out of A, B"):
        with_switch_box_at(plan, 0.0, 0.0, "Z")


def test_a_group_is_on_one_circuit_only():
    plan = with_new_circuit(PLAN)
    new = plan.wiring.circuits[-1]
    plan = with_circuit(plan, new.id, groups=("B",), breaker=20, conductor=12)
    assert [c.groups for c in plan.wiring.circuits] == [("A",), ("B",)]
    assert without_circuit(plan, new.id).wiring.circuits[0].groups == ("A",)
    assert "circuits are assumed" in " ".join(f.what for f in wired(without_circuit(plan, new.id)).findings)


def test_leads_and_other_loads():
    plan = with_lead(PLAN, "A", 1.0, 2.0, 3.0)
    plan = with_lead(plan, "A", 1.5, 2.0, 3.0)
    assert [(lead.group, lead.x, lead.length) for lead in plan.wiring.leads] == [("A", 1.5, 3.0)]
    with pytest.raises(ValueError, match="no group Q"):
        with_lead(plan, "Q", 0.0, 0.0, 1.0)
    saw = Furniture("saw-1", "machine", "Table saw", 2.0, 2.0, 1.0, 1.0, 0.9)
    plan = with_others(replace(PLAN, furniture=(saw,)), "c1", [("table saw", 12.0), ("Radio", 0.5)])
    assert [(load.machine, load.amperes) for load in plan.wiring.circuits[0].others] == [("saw-1", 12.0), ("", 0.5)]
    assert wired(plan).loads[0].others == 12.5
    assert "Table saw is on the lights' circuit" in [f.what for f in wired(plan).findings]


def test_dimmers_and_stages():
    plan = with_dimmer(PLAN, "A", "0-10 V", 200.0)
    assert plan.wiring.dimmers[0].most_watts == 200.0
    assert with_dimmer(plan, "A", None) == PLAN
    plan = with_stages(PLAN, [("switch box", "s1"), ("fixture", "f1")], "done")
    assert plan.wiring.stage("fixture", "f1") == "done"
    assert with_stages(plan, [("fixture", "f1")], "to do").wiring.stage("fixture", "f1") == "to do"
    assert replace(PLAN, wiring=Wiring()).wiring.stage("fixture", "f1") is None


def test_places_are_moved_along_the_walls_in_whole_steps():
    plan = shop([fixture(1, 4, 8)])
    # The room is 20 x 16 ft; (12.03, 0.4) ft is nearest to the front wall, which begins at (0, 0).
    moved = with_place_at(plan, "s1", 12.03 * FOOT, 0.4 * FOOT, FOOT / 12)
    (box,) = moved.wiring.switch_boxes
    assert (box.x / FOOT, box.y) == (pytest.approx(12.0), 0.0)
    free = with_place_at(plan, "s1", 12.03 * FOOT, 0.4 * FOOT)
    assert free.wiring.switch_boxes[0].x / FOOT == pytest.approx(12.03)
    panel = with_place_at(plan, "panel", 30 * FOOT, 5 * FOOT, FOOT).wiring.panel
    assert (panel.x / FOOT, panel.y / FOOT) == (pytest.approx(20.0), pytest.approx(5.0))
    lead = with_place_at(with_lead(plan, "A", 1.0, 1.0, 3.0), "lead-A", 2.0, 3.0, FOOT).wiring.leads[0]
    assert (lead.x, lead.y) == (2.0, 3.0)


def test_moving_what_is_assumed_makes_it_the_plans_own():
    plan = replace(shop([fixture(1, 4, 8)]), wiring=Wiring())
    (assumed,) = with_assumptions(plan).wiring.switch_boxes
    moved = with_place_at(plan, assumed.id, 5 * FOOT, 16 * FOOT)
    (box,) = moved.wiring.switch_boxes
    assert box.id != assumed.id
    assert (box.x / FOOT, box.y / FOOT) == (pytest.approx(5.0), pytest.approx(16.0))
    assert with_assumptions(moved).assumed == frozenset()
