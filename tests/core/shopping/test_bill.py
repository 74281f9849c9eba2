"""The bill of materials, counted by hand for one demo shop, and its rules."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.demo import demo_names, demo_plan
from core.plan import Group
from core.plan.edits import hung, removed, with_group
from core.shopping import COLUMNS, Line, PriceList, bill_csv, bill_of_materials, bill_text, show_money
from tests.core.plan.strategies import plans
from tests.core.plan.test_edits import LAMP, PLAN, STRIP

# Counted on the plan of the luthier's basement, with the prices of the catalogue and the price list.
LUTHIER = [
    ("8 ft strip, frosted", "A Benches", 1, "86.00"),
    ("4 ft strip, true colour", "A Benches", 1, "79.00"),
    ("4 ft strip, frosted", "C Front and door", 3, "132.00"),
    ("4 ft strip, frosted", "A Benches (1), B Middle row (3)", 4, "176.00"),
    ("Bench lamp, long arm", "D Bench lamps", 1, "84.00"),
    ("Bench lamp, round head", "D Bench lamps", 1, "58.00"),
    ("Wall dimmer, 0-10 V", "A Benches, B Middle row", 2, "68.00"),
    ("Wall switch, single-pole", "C Front and door, D Bench lamps", 2, "8.40"),
    ("Wall plate, one gang", "A Benches, B Middle row, C Front and door, D Bench lamps", 4, "5.20"),
]


def test_a_hand_count_of_the_luthiers_basement():
    bill = bill_of_materials(demo_plan("luthier_basement"))
    assert [(line.item, line.for_, line.quantity, str(line.price)) for line in bill.lines] == LUTHIER
    assert bill.total == Decimal("696.60") == sum(Decimal(price) for *_, price in LUTHIER)
    assert bill.has_example_prices


@pytest.mark.parametrize("name", demo_names())
def test_every_fixture_and_switch_is_on_the_list_once(name):
    plan = demo_plan(name)
    bill = bill_of_materials(plan)
    models = {model.name for model in plan.models}
    fixtures = [line for line in bill.lines if line.item in models]
    assert sorted(i for line in fixtures for i in line.places) == sorted(f.id for f in plan.fixtures)
    assert sum(line.quantity for line in fixtures) == len(plan.fixtures)
    (plates,) = [line for line in bill.lines if "plate" in line.item]
    devices = [line for line in bill.lines if "switch," in line.item or "dimmer" in line.item]
    assert plates.quantity == sum(line.quantity for line in devices) == len(plan.groups)


@given(plans(), st.data())
@settings(max_examples=40)
def test_one_more_fixture_never_makes_the_list_shorter(plan, data):
    model = data.draw(st.sampled_from(plan.models))
    more, _ = hung(plan, model.id, 0.0, 0.0, group=data.draw(st.sampled_from("ABCD")))
    before, after = bill_of_materials(plan), bill_of_materials(more)
    count = sum(line.quantity for line in before.lines)
    assert sum(line.quantity for line in after.lines) >= count + 1
    assert after.total >= before.total


def shop():
    plan = replace(PLAN, models=(replace(STRIP, price=12.345, dimming="0-10 V"), LAMP))
    for number in range(3):
        plan, _ = hung(plan, "strip-4", 1.0 + number, 1.0)
    return plan


def test_price_is_rounded_once_and_a_missing_price_is_told():
    bill = bill_of_materials(shop())
    strips = bill.lines[0]
    assert (strips.quantity, strips.price_each, strips.price) == (3, Decimal("12.35"), Decimal("37.05"))
    plan, _ = hung(shop(), "lamp", 1.0, 2.0)
    bill = bill_of_materials(plan, PriceList(()))
    assert {line.item for line in bill.unpriced} == {"Bench lamp", "Switch", "Plate"}
    assert bill.total == Decimal("37.05")
    assert "leaves out 3 lines without a price" in bill_text(bill)
    assert "no price yet" in bill_text(bill)


def test_different_settings_are_different_lines_that_say_how_to_set_them():
    plan, _ = hung(shop(), "strip-4", 4.0, 1.0, setting=1, colour=5000)
    notes = [line.note for line in bill_of_materials(plan).lines[:2]]
    assert notes[0].startswith("set to 35 W, 4,400 lm, 4000 K")
    assert notes[1].startswith("set to 50 W, 6,000 lm, 5000 K")


def test_a_dimmer_suits_its_fixtures_or_the_line_says_so():
    plan = with_group(shop(), Group("A", "Main", dimmable=True))
    assert bill_of_materials(plan).lines[1].item == "Wall dimmer, 0-10 V"
    plan, lamp = hung(plan, "lamp", 1.0, 2.0)
    mixed = bill_of_materials(plan).lines[2]
    assert mixed.item == "Wall dimmer, 0-10 V"
    assert "do not go together on one dimmer (0-10 V, none)" in mixed.note
    only_lamp = removed(plan, [f.id for f in plan.fixtures if f.id != lamp])
    switch = bill_of_materials(only_lamp).lines[1]
    assert switch.item == "Wall switch, single-pole"
    assert "cannot be dimmed" in switch.note


def test_an_empty_group_buys_nothing():
    plan = with_group(shop(), Group("B", "Nothing on it"))
    assert sum(line.quantity for line in bill_of_materials(plan).lines) == 3 + 1 + 1
    assert bill_of_materials(replace(plan, fixtures=())).lines == ()
    assert not bill_of_materials(replace(plan, fixtures=())).has_example_prices


@given(st.integers(0, 200), st.integers(1, 50), st.integers(0, 200))
def test_packs_are_enough_and_not_one_too_many(quantity, pack, have):
    line = Line("Connector", "", quantity, pack=pack, have=have, price_each=Decimal("3.10"))
    assert line.packs * pack + have >= quantity
    assert line.packs == 0 or (line.packs - 1) * pack + have < quantity
    assert line.price == Decimal("3.10") * line.packs


def test_the_csv_has_the_agreed_columns_and_one_row_a_line():
    plan = demo_plan("bicycle_garage")
    bill = bill_of_materials(plan)
    rows = list(csv.DictReader(io.StringIO(bill_csv(bill), newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert ",".join(COLUMNS) == "item,for,quantity,unit,pack,packs,price_each,price,have,note"
    assert len(rows) == len(bill.lines)
    assert sum(Decimal(row["price"]) for row in rows) == bill.total
    for row in rows:
        assert Decimal(row["price_each"]) * int(row["packs"]) == Decimal(row["price"])


def test_names_that_start_a_formula_are_harmless_in_the_csv():
    plan = replace(shop(), models=(replace(STRIP, name='=HYPERLINK("x")'), LAMP), groups=(Group("A", "+1"),))
    first = next(csv.DictReader(io.StringIO(bill_csv(bill_of_materials(plan)), newline="")))
    assert first["item"] == '\'=HYPERLINK("x")'
    assert first["for"] == "A +1"


def test_the_text_has_a_tick_box_for_each_line_the_total_and_the_caution():
    bill = bill_of_materials(demo_plan("luthier_basement"))
    text = bill_text(bill)
    assert text.count("[ ] ") == len(bill.lines)
    assert "[ ] 3 x 4 ft strip, frosted: $132.00" in text
    assert "Total $696.60" in text
    assert "placeholder prices" in text
    assert "licensed electrician" in text
    packs = replace(bill, lines=(Line("Connector", "", 12, pack=10, price_each=Decimal("3"), have=1),))
    assert "[ ] 2 packs of 10 x Connector: $6.00\n    have 1" in bill_text(packs)


def test_money():
    assert show_money(Decimal("1234.5")) == "$1,234.50"
    assert show_money(None) == ""
