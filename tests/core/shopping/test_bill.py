"""Fixtures on the shopping list, counted by hand for one demo shop, and the rules that hold for every line."""

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
from core.plan.edits import hung
from core.shopping import COLUMNS, Line, PriceList, bill_csv, bill_of_materials, bill_text, show_money
from tests.core.plan.strategies import plans
from tests.core.plan.test_edits import LAMP, PLAN, STRIP

# Counted on the plan of the luthier's basement, with the prices of the catalogue.
LUTHIER = [
    ("8 ft strip, frosted", 1, "86.00", "52 W, 6,600 lm, 4000 K"),
    ("4 ft strip, true colour", 1, "79.00", "38 W, 4,200 lm, 4000 K"),
    ("4 ft strip, frosted", 3, "132.00", "20 W, 2,600 lm, 4000 K"),
    ("4 ft strip, frosted", 4, "176.00", "28 W, 3,600 lm, 4000 K"),
    ("Bench lamp, long arm", 1, "84.00", "14 W, 1,600 lm, 4000 K"),
    ("Bench lamp, round head", 1, "58.00", "10 W, 1,120 lm, 4000 K"),
]


def fixture_lines(plan, prices=None):
    names = {model.name for model in plan.models}
    return [line for line in bill_of_materials(plan, prices).lines if line.item in names]


def shop():
    plan = replace(PLAN, models=(replace(STRIP, price=12.345, dimming="0-10 V"), LAMP))
    for number in range(3):
        plan, _ = hung(plan, "strip-4", 1.0 + number, 1.0)
    return plan


def test_a_hand_count_of_the_luthiers_fixtures():
    plan = demo_plan("luthier_basement")
    lines = fixture_lines(plan)
    assert [(line.item, line.quantity, str(line.price)) for line in lines] == [entry[:3] for entry in LUTHIER]
    for line, entry in zip(lines, LUTHIER, strict=True):
        assert entry[3] in line.note
    assert bill_of_materials(plan).has_example_prices


@pytest.mark.parametrize("name", demo_names())
def test_every_fixture_is_on_the_list_once(name):
    plan = demo_plan(name)
    lines = fixture_lines(plan)
    assert sorted(i for line in lines for i in line.places) == sorted(f.id for f in plan.fixtures)
    assert sum(line.quantity for line in lines) == len(plan.fixtures)


@pytest.mark.parametrize("name", demo_names())
def test_every_dimmed_switch_has_its_dimmer(name):
    plan = demo_plan(name)
    dimmed = sum(group.dimmable for group in plan.groups)
    assert sum(line.quantity for line in bill_of_materials(plan).lines if "Wall dimmer" in line.item) == dimmed


@given(plans(), st.data())
@settings(max_examples=30, deadline=None)
def test_one_more_fixture_is_one_more_on_the_list(plan, data):
    model = data.draw(st.sampled_from(plan.models))
    more, new = hung(plan, model.id, 0.0, 0.0, group=data.draw(st.sampled_from("ABC")))
    placed = [place for line in bill_of_materials(more).lines if line.item == model.name for place in line.places]
    assert new in placed


def test_a_price_is_rounded_once_and_a_missing_price_is_told():
    (strips,) = fixture_lines(shop())
    assert (strips.quantity, strips.price_each, strips.price) == (3, Decimal("12.35"), Decimal("37.05"))
    plan, _ = hung(shop(), "lamp", 1.0, 2.0)
    bill = bill_of_materials(plan, PriceList(()))
    assert "Bench lamp" in {line.item for line in bill.unpriced}
    assert bill.total == Decimal("37.05")
    assert "no price yet" in bill_text(bill)


def test_different_settings_are_different_lines_that_say_how_to_set_them():
    plan, _ = hung(shop(), "strip-4", 4.0, 1.0, setting=1, colour=5000)
    notes = [line.note for line in fixture_lines(plan)]
    assert notes[0].startswith("set to 35 W, 4,400 lm, 4000 K")
    assert notes[1].startswith("set to 50 W, 6,000 lm, 5000 K")


def test_a_plan_without_fixtures_buys_nothing():
    bill = bill_of_materials(replace(shop(), fixtures=()))
    assert bill.lines == ()
    assert not bill.has_example_prices


@given(st.integers(0, 200), st.integers(1, 50), st.integers(0, 200))
def test_packs_are_enough_and_not_one_too_many(quantity, pack, have):
    line = Line("Connector", "", quantity, pack=pack, have=have, price_each=Decimal("3.10"))
    assert line.packs * pack + have >= quantity
    assert line.packs == 0 or (line.packs - 1) * pack + have < quantity
    assert line.price == Decimal("3.10") * line.packs


@pytest.mark.parametrize("name", demo_names())
def test_the_csv_has_the_agreed_columns_and_one_row_a_line(name):
    bill = bill_of_materials(demo_plan(name))
    rows = list(csv.DictReader(io.StringIO(bill_csv(bill), newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert ",".join(COLUMNS) == "item,for,quantity,unit,pack,packs,price_each,price,have,note"
    assert len(rows) == len(bill.lines)
    assert sum(Decimal(row["price"]) for row in rows) == bill.total
    for row in rows:
        assert Decimal(row["price_each"]) * int(row["packs"]) == Decimal(row["price"])


def test_names_that_start_a_formula_are_harmless_in_the_csv():
    plan = replace(shop(), models=(replace(STRIP, name='=HYPERLINK("x")'), LAMP), groups=(Group("A", "+1"),))
    rows = list(csv.DictReader(io.StringIO(bill_csv(bill_of_materials(plan)), newline="")))
    assert '\'=HYPERLINK("x")' in {row["item"] for row in rows}
    assert not any(cell.startswith(("=", "+", "@")) for row in rows for cell in row.values())


def test_the_text_has_a_tick_box_for_each_line_the_total_and_the_caution():
    bill = bill_of_materials(demo_plan("luthier_basement"))
    text = bill_text(bill)
    assert text.count("[ ] ") == len(bill.lines)
    assert f"Total {show_money(bill.total)}" in text
    assert "placeholder" in text
    assert "licensed electrician" in text


def test_money():
    assert show_money(Decimal("1234.5")) == "$1,234.50"
    assert show_money(None) == ""
