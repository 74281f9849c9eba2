"""Rules of the list: nothing is needed less because one more fixture hangs; own prices, things at hand, stages."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.demo import demo_names, demo_plan
from core.plan import Group
from core.plan.buying import AtHand, Buying, OwnLine, Price
from core.plan.edits import hung, removed, with_group
from core.plan.wiring import Circuit
from core.shopping import Need, PriceList, bill_of_materials, bill_page, bill_text
from core.shopping import Price as ListPrice
from core.shopping.bill import _lines
from core.shopping.wiring_needed import connectors_for, staples_for
from core.wiring.decisions import with_lead
from tests.core.plan.strategies import plans
from tests.core.wiring.shops import fixture, model, shop


def quantities(plan):
    """How much of each item; switch boxes by their gangs, as a fuller box may take the place of a smaller one."""
    counts = Counter()
    for line in bill_of_materials(plan).lines:
        counts[line.key.split(" gang")[0]] += line.quantity
    return counts


@given(plans(), st.data())
@settings(max_examples=40, deadline=None)
def test_one_more_fixture_never_makes_any_number_smaller(plan, data):
    """With circuits decided, and on a switch that has fixtures already (a new switch may take a larger box)."""
    model_id = data.draw(st.sampled_from(plan.models)).id
    plan = replace(plan, wiring=replace(plan.wiring, circuits=(Circuit("c", "Lights", groups=("A", "B", "C")),)))
    used = {fixture.group for fixture in plan.fixtures} or {"A"}
    more, _ = hung(plan, model_id, 0.0, 0.0, group=data.draw(st.sampled_from(sorted(used))))
    before, after = quantities(plan), quantities(more)
    assert {key: count for key, count in before.items() if after[key] < count} == {}
    assert after.total() >= before.total() + 1


@pytest.mark.parametrize("name", demo_names())
def test_one_more_fixture_on_a_demo(name):
    plan = demo_plan(name)
    before = quantities(plan)
    for entry in plan.models:
        for letter in {f.group for f in plan.fixtures if f.model == entry.id}:
            after = quantities(hung(plan, entry.id, 2.0, 2.0, group=letter)[0])
            assert {key: count for key, count in before.items() if after[key] < count} == {}


@pytest.mark.parametrize("name", demo_names())
def test_every_line_says_why_and_how_and_every_switch_is_there(name):
    plan = demo_plan(name)
    bill = bill_of_materials(plan)
    assert all(line.why and line.how and line.key and line.part for line in bill.lines)
    plates = sum(line.quantity for line in bill.lines if line.key.startswith("plate"))
    assert plates == len(plan.wiring.switch_boxes)
    devices = sum(line.quantity for line in bill.lines if line.part == "switches") - plates
    assert devices == sum(len(box.groups) for box in plan.wiring.switch_boxes)
    assert bill_page(bill).count('class="box"></span>') == len(bill.lines)
    assert "Planning aid" in bill_page(bill)


def test_a_page_cannot_carry_somebody_elses_markup():
    plan = shop([fixture(1, 4, 8)], [replace(model(), name="<script>x</script>")])
    assert "<script>" not in bill_page(bill_of_materials(replace(plan, name="<b>&")))


def device(plan):
    (line,) = [line for line in bill_of_materials(plan).lines if line.key == "switch" or line.key.startswith("dimmer")]
    return line


def test_a_dimmer_suits_its_fixtures_or_the_line_says_so():
    wrap, lamp = model(dimming="0-10 V"), model("lamp")
    plan = with_group(shop([fixture(1, 4, 8)], [wrap, lamp]), Group("A", "Main", dimmable=True))
    assert device(plan).item == "Wall dimmer, 0-10 V"
    plan, other = hung(plan, "lamp", 2.0, 2.0)
    assert device(plan).item == "Wall dimmer, 0-10 V"
    assert "do not dim the same way (0-10 V, not at all)" in device(plan).note
    only_lamp = removed(plan, [f.id for f in plan.fixtures if f.id != other])
    assert device(only_lamp).item == "Wall switch, single-pole"
    assert "can be dimmed" in device(only_lamp).note


def test_an_empty_group_buys_nothing():
    plan = shop([fixture(1, 4, 8)])
    assert bill_of_materials(with_group(plan, Group("B", "Nothing on it"))).lines == bill_of_materials(plan).lines


def test_own_prices_things_at_hand_own_lines_tax_and_budget():
    plan = demo_plan("bicycle_garage")
    buying = Buying(
        prices=(Price("panel-2x4", 80.0), Price("connector", 9.0, 60)),
        at_hand=(AtHand("panel-2x4", 1), AtHand("cable 14/2", 100)),
        own_lines=(OwnLine("Painter's tape", 2, price=4.5),),
        tax=0.0825,
        budget=1000.0,
    )
    bill = bill_of_materials(replace(plan, buying=buying))
    lines = {line.key or line.item: line for line in bill.lines}
    assert (lines["panel-2x4"].packs, lines["panel-2x4"].price) == (3, Decimal("240.00"))
    assert (lines["connector"].pack, lines["connector"].price) == (60, Decimal("9.00"))
    assert lines["Painter's tape"].price == Decimal("9.00")
    # 169 ft are needed, 100 are there: 69 ft to buy, in coils of 50 and 25 ft.
    cable = [(line.quantity, line.have, line.packs, line.pack) for line in bill.lines if line.key == "cable 14/2"]
    assert cable == [(50, 0, 1, 50), (119, 100, 1, 25)]
    assert bill.tax == (bill.total * Decimal("0.0825")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert "over the budget of $1,000.00" in bill_text(bill)
    assert "With 8.25 % tax" in bill_text(bill)


def test_spares_and_what_is_done():
    plan = demo_plan("bicycle_garage")
    spare = bill_of_materials(replace(plan, buying=Buying(fixtures_per_spare=5)))
    spares = {line.key: line.quantity for line in spare.lines if line.for_ == "spare"}
    assert spares == {"strip-8-frosted": 2, "panel-2x4": 1, "bench-lamp-long": 1}
    stages = plan.wiring.with_stage("fixture", "fixture-7", "done").with_stage("switch box", "switch-box-1", "existing")
    later, before = quantities(replace(plan, wiring=stages)), quantities(plan)
    assert later["panel-2x4"] == before["panel-2x4"] - 1
    assert "plate 3" not in later
    assert later["dimmer 0-10 V"] == 0
    # The home run to box 1 (37 ft with its slack) is there with the box.
    assert before["cable 14/2"] - later["cable 14/2"] in (40, 41)


def test_small_parts():
    # Up to five ends in one connector; of more, each further connector takes three (two ends go to its jumper).
    assert [connectors_for(n) for n in (1, 2, 5, 6, 8, 9, 11, 12)] == [0, 1, 1, 2, 2, 3, 3, 4]
    # 10 ft and 20 ft: two each, and 30 / 4.5 = 6.7.
    assert staples_for([10 * 0.3048, 20 * 0.3048], 4.5 * 0.3048) == 4 + 7
    assert staples_for([], 1.0) == 0


def test_an_extra_coil_that_the_lengths_ask_for_is_bought():
    # Three lengths of 60 ft are 180 ft, but a 100 ft coil holds only one of them.
    lengths = (60.0, 60.0, 60.0)
    need = Need("cable 14/2", "Cable 14/2", "cable", "feed", 180, "ft", lengths=lengths)
    prices = PriceList((ListPrice("cable 14/2", "Cable", Decimal(62), "ft", 100),))
    plan = shop([fixture(1, 4, 8)])
    (line,) = _lines(plan, need, prices, {})
    assert (line.quantity, line.packs, line.price) == (180, 3, Decimal("186.00"))
    mixed = PriceList((*prices.prices, ListPrice("cable 14/2", "Cable", Decimal(150), "ft", 250)))
    (line,) = _lines(plan, need, mixed, {})
    assert (line.pack, line.packs) == (250, 1)


def test_what_no_box_holds_is_bought_as_two():
    # Five switches: no box has five gangs, so two boxes of three with their plates.
    plan = shop([fixture(n, 2 + n, 8, letter) for n, letter in enumerate("ABCDE")])
    lines = {line.key: line for line in bill_of_materials(plan).lines}
    assert lines["box 3 gang nail-on 67"].quantity == 2
    assert lines["plate 3"].quantity == 2
    assert "divided into two boxes" in lines["box 3 gang nail-on 67"].how
    assert lines["switch"].quantity == 5


def test_a_group_on_a_lead_buys_no_switch():
    plan = shop([fixture(1, 4, 8)])
    led = with_lead(plan, "A", 1.0, 1.0, 5.0)
    keys = {line.key for line in bill_of_materials(led).lines}
    assert {"switch", "breaker 15 A", "plate 1"} & keys == set()
