"""Loads, stages, leads, three-way switches and findings on shops small enough to check in one's head."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.plan import Furniture, Group
from core.plan.ceiling import Feeding
from core.plan.edits import with_group
from core.plan.wiring import Appliance, Circuit, Dimmer, Lead, Nameplate, Staged, Wiring
from core.units import FOOT
from core.wiring import cable_rows, circuit_rows, settings_cards, wired
from core.wiring.as_findings import wiring_findings
from tests.core.plan.strategies import plans
from tests.core.wiring.shops import box, feet, fixture, model, rewired, shop

ROW = [fixture(1, 4, 8), fixture(2, 10, 8), fixture(3, 16, 8)]


def ids(plan):
    return [(run.start.id, run.end.id) for run in wired(plan).routing.runs]


def whats(plan):
    return [finding.what for finding in wired(plan).findings]


@given(plans())
@settings(max_examples=40, deadline=None)
def test_load_is_the_sum_of_nameplate_amperes_at_the_highest_setting(plan):
    done = wired(plan)
    highest = sum(max(s.watts for s in plan.model(f.model).settings) for f in plan.fixtures) / 120
    assert sum(load.total for load in done.loads) == pytest.approx(highest)
    for circuit, load in zip(done.circuits, done.loads, strict=True):
        assert load.limit == pytest.approx(0.8 * circuit.breaker)
    assert len(circuit_rows(plan, done)) == len(done.circuits)


@given(plans())
@settings(max_examples=30, deadline=None)
def test_every_fixture_is_reached_once_by_cable_or_has_a_plug(plan):
    done = wired(plan)
    ends = [run.end.id for run in done.routing.runs if run.end.kind == "fixture"]
    assert len(ends) == len(set(ends))
    assert set(ends) == {f.id for f in plan.fixtures}  # none of these has a plug
    assert all(run.length >= 0.0 for run in done.routing.runs)


def test_a_nameplate_wins_over_the_watts():
    plan = rewired(shop(ROW), nameplates=(Nameplate("wrap", 1.2),))
    assert wired(plan).loads[0].total == pytest.approx(3.6)
    assert wired(shop(ROW)).loads[0].total == pytest.approx(3.0)


def test_a_chain_and_a_tree():
    plan = shop(ROW)
    # The switch is at (9, 0): by an end it is 4 + 13 + 6 + 6, from the middle 4 + 9 + 6 + 12.
    assert ids(plan) == [("panel", "s1"), ("s1", "f1"), ("f1", "f2"), ("f2", "f3")]
    assert ids(rewired(plan, scheme="junction boxes")) == [("panel", "s1"), ("s1", "f2"), ("f2", "f1"), ("f2", "f3")]


def test_power_on_an_eighty_percent_limit():
    twelve = [fixture(n, n, 8) for n in range(1, 13)]  # 12 x 1 A
    assert "More load than the breaker may carry" not in whats(shop(twelve))
    more = shop([*twelve, fixture(13, 13, 9)])
    assert "More load than the breaker may carry" in whats(more)
    (finding,) = [f for f in wired(more).findings if f.severity == "danger"]
    assert (finding.figure, finding.target) == (pytest.approx(13.0), 12.0)
    assert "210.20(A)" in finding.source
    assert set(finding.ids) >= {f.id for f in more.fixtures}
    short = rewired(more, circuits=(replace(more.wiring.circuits[0], continuous=False),))
    assert "More load than the breaker may carry" not in whats(short)


def test_findings_about_circuits():
    plan = shop(ROW, furniture=(Furniture("saw", "machine", "Table saw", 2.0, 2.0, 1.0, 1.0, 0.9),))
    assert whats(plan) == []
    saw = Circuit("c1", "Lights", groups=("A",), others=(Appliance("saw", 10.0, "saw"),))
    assert "Table saw is on the lights' circuit" in whats(rewired(plan, circuits=(saw,)))
    assert "Table saw is on the lights' circuit" not in whats(
        rewired(plan, circuits=(replace(saw, groups=()), *plan.wiring.circuits))
    )
    wrong = replace(plan.wiring.circuits[0], garage_receptacles=True)
    (finding,) = wired(rewired(plan, circuits=(wrong,))).findings
    assert "210.11(C)(4)" in finding.source
    fused = rewired(plan, circuits=(Circuit("c1", "Lights", breaker=20, conductor=14, groups=("A",)),))
    (finding,) = wired(fused).findings
    assert (finding.figure, finding.target) == (20, 15)
    assert "240.4(D)" in finding.source


def test_voltage_drop_is_mentioned_above_three_percent_only():
    near = shop(ROW)
    far = shop([fixture(n, 1 + n, 15) for n in range(1, 13)])
    drop = wired(far).drops[0][0]
    assert wired(near).drops[0][0] < 0.03 < drop
    said = "Much voltage is lost on the way to the farthest fixture"
    assert said in whats(far)
    assert said not in whats(near)
    assert float(circuit_rows(far, wired(far))[0][7]) == pytest.approx(100 * drop, abs=0.01)


def test_a_garage_without_a_switched_light():
    lamp = model("lamp", feeding=Feeding("plug and cord"))
    plan = shop([fixture(1, 4, 8, of="lamp")], [lamp])
    assert "No light is on a wall switch" in whats(plan)
    assert "No light is on a wall switch" not in whats(rewired(plan, premises="other"))
    assert wired(plan).routing.runs == ()


def test_dimmers_must_suit_their_fixtures():
    def dimmed(ways, dimmer=()):
        models = [model(f"m{n}", dimming=way) for n, way in enumerate(ways)]
        plan = shop([fixture(n, 4 + n, 8, of=f"m{n}") for n in range(len(ways))], models)
        return rewired(with_group(plan, Group("A", "A", dimmable=True)), dimmers=dimmer)

    said = "Dimmer and fixtures do not go together"
    assert said not in whats(dimmed(["0-10 V", "0-10 V"]))
    assert said in whats(dimmed(["0-10 V", "reverse phase"]))
    assert said in whats(dimmed(["none"]))
    assert said in whats(dimmed(["forward phase"], (Dimmer("A", "0-10 V"),)))
    assert said not in whats(dimmed(["forward phase"], (Dimmer("A", "forward phase", 150.0),)))
    assert said in whats(dimmed(["forward phase", "forward phase"], (Dimmer("A", "forward phase", 150.0),)))
    plan = dimmed(["0-10 V", "0-10 V"])
    pair = [row for row in cable_rows(plan, wired(plan)) if "18/2" in row[2]]
    assert len(pair) == 2


def test_three_way_and_four_way_switches():
    plan = rewired(shop(ROW), switch_boxes=(box("s1", 10, 0, "A"), box("s2", 20, 8, "A"), box("s3", 0, 10, "A")))
    done = wired(plan)
    travellers = [run for run in done.routing.runs if run.role == "travellers"]
    assert [run.cable for run in travellers] == ["14/3 NM-B"] * 2
    assert [run.cable for run in done.routing.runs if run.role == "home run"] == ["14/2 NM-B"]
    control = done.controls[0]
    assert (control.locations, control.three_way, control.four_way) == (3, 2, 1)
    fills = {b.place.id: b for b in done.boxes if b.kind == "switch"}
    middle = travellers[0].end.id
    assert fills[middle].conductors == ((14, 6),)
    assert fills[middle].needed == pytest.approx(20.0)  # published: four-way box, 14/3 + 14/3 with clamp
    assert fills[travellers[0].start.id].needed == pytest.approx(18.0)  # published: three-way box with clamp


def test_the_order_of_three_way_boxes_is_the_best_of_all():
    plan = rewired(shop(ROW), switch_boxes=(box("s1", 20, 8, "A"), box("s2", 0, 8, "A")))
    # The panel is at (0, 8): power enters there and leaves for the lights at the far box or the near one.
    runs = wired(plan).routing.runs
    assert [run.start.id for run in runs[:2]] == ["panel", "s2"]


def test_what_is_there_is_not_bought():
    plan = shop(ROW)
    assert all(run.to_buy > 0 for run in wired(plan).routing.runs)
    there = rewired(plan, stages=(Staged("switch box", "s1", "existing"), Staged("fixture", "f1", "done")))
    runs = {run.id: run for run in wired(there).routing.runs}
    assert (runs["panel > s1"].stage, runs["panel > s1"].to_buy) == ("existing", 0.0)
    assert runs["s1 > f1"].stage == "done"
    assert runs["f1 > f2"].to_buy > 0.0
    redone = rewired(there, stages=(*there.wiring.stages, Staged("cable", "s1 > f1", "to do")))
    assert {run.id: run for run in wired(redone).routing.runs}["s1 > f1"].to_buy > 0.0
    assert len(cable_rows(there, wired(there))) == 2


def test_a_lead_in_the_attic_counts_with_its_length():
    near = Lead("lead", "A", *feet(2, 8), *feet(5))
    plan = rewired(shop(ROW), switch_boxes=(), leads=(near,))
    runs = wired(plan).routing.runs
    assert [(run.start.id, run.end.id) for run in runs] == [("lead", "f1"), ("f1", "f2"), ("f2", "f3")]
    assert runs[0].length == pytest.approx(2 * FOOT)
    assert runs[0].to_buy == 0.0  # 2 ft to go and 1 ft to work with, 5 ft are there
    short = rewired(plan, leads=(replace(near, length=2.5 * FOOT),))
    assert wired(short).routing.runs[0].to_buy == pytest.approx((2 + 2) * FOOT)
    assert "The lead left above the ceiling is too short" in whats(short)
    boxes = {b.place.id: b for b in wired(short).boxes}
    assert boxes["lead"].conductors == ((14, 4),)


def test_access_decides_the_box():
    plan = shop(ROW)
    closed = replace(rewired(plan, walls="closed"), ceiling=replace(plan.ceiling, access="closed"))
    assert not any(b.pleasant.for_closed for b in wired(plan).boxes)
    assert all(b.pleasant.for_closed for b in wired(closed).boxes)
    assert "Cable has to cross joists above a closed ceiling" in whats(closed)


def test_too_much_for_a_box_is_a_finding():
    fixtures = [fixture(n, 2 + n, 8, letter) for n, letter in enumerate("ABCDE")]
    assert "No standard box holds all of it" in whats(shop(fixtures))
    assert "No standard box holds all of it" not in whats(shop(fixtures[:4]))


def test_what_is_not_decided_is_assumed_and_said():
    plan = shop(ROW)
    bare = replace(plan, wiring=type(plan.wiring)())
    done = wired(bare)
    assert len([f for f in done.findings if f.source == "assumption of the program"]) == 3
    assert len(done.circuits) == 1
    assert "assumed" in circuit_rows(bare, done)[0][-1]
    assert wired(plan).assumed == frozenset()


def test_bodies_in_a_row_are_wired_through():
    linked = model("row", feeding=replace(model().feeding, kind="cable through knock-out", linked=3))
    half = linked.length / FOOT / 2
    fixtures = [fixture(n, 4 + 2 * half * n, 8, of="row") for n in range(3)]
    done = wired(shop(fixtures, [linked]))
    assert [run.end.id for run in done.routing.runs] == ["s1", "f0"]
    assert done.loads[0].total == pytest.approx(3.0)
    amperes = done.drops[0][0] * 120 / (2 * 3.07 / 304.8) / sum(r.length + r.slack for r in done.routing.runs)
    assert amperes == pytest.approx(3.0)


def test_the_settings_card_says_what_to_set():
    plan = shop([replace(ROW[0], setting=1), *ROW[1:]])
    first = settings_cards(plan, wired(plan))[0]
    assert (first.fixture, first.watts, first.position, first.positions) == ("f1", 120.0, 2, 2)


def test_findings_stand_in_the_common_list():
    twelve = [fixture(n, n, 8) for n in range(1, 14)]
    found = wiring_findings(shop(twelve))
    assert (found[0].severity.word, found[0].figure, found[0].target) == ("to do", 13.0, "at most 12")
    assert found[0].place == (twelve[0].x, twelve[0].y)
    bare = replace(shop(ROW), wiring=Wiring())
    assert wiring_findings(bare) == []
    assert len(wiring_findings(rewired(bare, scheme="junction boxes"))) == 3
