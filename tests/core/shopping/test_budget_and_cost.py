"""What to leave out for a budget, what else would do, and what the light costs to run."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from core.catalogue import catalogue
from core.demo import demo_plan
from core.plan.buying import Buying, Hours
from core.shopping import alternatives, bill_of_materials, example_prices, running_cost, savings

GARAGE = demo_plan("bicycle_garage")


def budgeted(budget, spare=5):
    bill = bill_of_materials(replace(GARAGE, buying=Buying(budget=budget, fixtures_per_spare=spare, tax=0.1)))
    return bill, savings(bill, example_prices())


def test_spares_go_first_then_the_patch_kit_then_dimmers():
    bill, found = budgeted(1.0)
    assert [saving.key for saving in found] == [
        "strip-8-frosted",
        "panel-2x4",
        "bench-lamp-long",
        "patch kit",
        "dimmer 0-10 V",
    ]
    assert [saving.saves for saving in found[:3]] == [Decimal("172.00"), Decimal("92.00"), Decimal("84.00")]
    assert found[-1].saves == 2 * (Decimal("34.00") - Decimal("4.20"))
    assert not found[-1].is_enough
    with_tax = bill.total_with_tax
    _, found = budgeted(float(with_tax) - 200.0)
    assert [saving.is_enough for saving in found] == [False, True]
    assert budgeted(float(with_tax))[1] == ()
    assert budgeted(0.0)[1] == ()


def test_other_models_give_as_much_light_for_less():
    plan = demo_plan("luthier_basement")
    line = next(n for n in bill_of_materials(plan).lines if n.key == "strip-4-frosted" and "C" in n.for_)
    found = alternatives(plan, line, catalogue())
    for other in found:
        model = next(m for m in catalogue() if m.id == other.key)
        assert (model.kind, model.mounting) == ("strip", "surface")
        assert other.difference < 0
        assert max(s.lumens for s in model.settings) >= 0.9 * 2600
        assert model.cri >= 82
    dimmer = next(n for n in bill_of_materials(plan).lines if n.key.startswith("dimmer"))
    assert alternatives(plan, dimmer, catalogue()) == ()
    cheap = replace(catalogue()[0], id="cheap", kind="strip", mounting="surface", price=10.0, cri=90)
    cheap = replace(cheap, settings=plan.model("strip-4-frosted").settings)
    (offer,) = alternatives(plan, line, [cheap])
    assert offer.difference == 3 * (Decimal(10) - Decimal(44))


def test_running_cost():
    # Brazing: A full (2 x 52 W), B at 0.4 (4 x 40 W): 168 W; 100 h at 0.20 is 16.8 kWh, 3.36.
    buying = Buying(hours=(Hours("Brazing", 100.0), Hours("gone", 50.0)), energy_price=0.20, old_watts=500.0)
    cost = running_cost(replace(GARAGE, buying=buying))
    assert [row.name for row in cost.combinations] == ["Brazing"]
    assert cost.combinations[0].watts == pytest.approx(168.0)
    assert (cost.energy, cost.money) == (pytest.approx(16.8), pytest.approx(3.36))
    assert (cost.old_energy, cost.old_money) == (pytest.approx(50.0), pytest.approx(10.0))
    assert cost.saved == pytest.approx(6.64)
