"""The bicycle-frame garage, counted by hand: every foot of cable, every box, every wire, every screw.

The room is 20 x 22 ft and 9 ft high; joists run along x, 24 in apart, the first at 1 ft. The panel's top is at 6 ft,
3 ft below the ceiling, on the left wall at y = 10. Switch box 1 (A, B, C) is at (20, 6), switch box 2 (C) at (19, 0),
both 4 ft up, so 5 ft below the ceiling. Each box end takes 1 ft of slack, the panel 4 ft.
"""

from __future__ import annotations

import pytest

from core.demo import demo_plan
from core.shopping import bill_of_materials
from core.units import FOOT
from core.wiring import wired

# from, to, cable, feet on the way, slack
CABLE = [
    ("panel", "switch-box-1", "14/2 NM-B", 3 + 20 + 4 + 5, 5),  # up, across to x = 20, along to y = 6, down
    ("switch-box-1", "fixture-2", "14/2 NM-B", 5 + 5.5 + 14, 2),  # to (14.5, 20)
    ("fixture-2", "fixture-1", "14/2 NM-B", 9, 2),  # to (5.5, 20)
    ("switch-box-1", "fixture-6", "14/2 NM-B", 5 + 5.5 + 5.5, 2),  # to (14.5, 11.5)
    ("fixture-6", "fixture-4", "14/2 NM-B", 4.25, 2),  # to (14.5, 15.75)
    ("fixture-4", "fixture-3", "14/2 NM-B", 9, 2),  # to (5.5, 15.75)
    ("fixture-3", "fixture-5", "14/2 NM-B", 4.25, 2),  # to (5.5, 11.5)
    ("switch-box-1", "switch-box-2", "14/3 NM-B", 5 + 1 + 6 + 5, 2),  # travellers: up, over, down
    ("switch-box-2", "fixture-10", "14/2 NM-B", 5 + 4.5 + 2.5, 2),  # to (14.5, 2.5)
    ("fixture-10", "fixture-9", "14/2 NM-B", 4, 2),  # to (14.5, 6.5)
    ("fixture-9", "fixture-7", "14/2 NM-B", 9, 2),  # to (5.5, 6.5)
    ("fixture-7", "fixture-8", "14/2 NM-B", 4, 2),  # to (5.5, 2.5)
]
# 14/2: 32 + 24.5 + 9 + 16 + 4.25 + 9 + 4.25 + 12 + 4 + 9 + 4 = 128, slack 5 + 10 x 2 = 25, and a tenth: 168.3 -> 169
# 14/3: 17 + 2 = 19, and a tenth: 20.9 -> 21
# 0-10 V pair beside A and B: 24.5 + 9 + 16 + 4.25 + 9 + 4.25 = 67, slack 6 x 2 = 12, and a tenth: 86.9 -> 87

# place, insulated wires by size, grounds, cubic inches
BOXES = {
    # 14/2 in, two 14/2 out, one 14/3 out: 9 x 2; two 0-10 V pairs: 4 x 1.5; grounds 2; clamps 2; three switches 12
    "switch-box-1": (((14, 9), (18, 4)), 4, 18 + 6 + 2 + 2 + 12, 44.0, 54.0),
    # 14/3 in, 14/2 out: 5 x 2; grounds 2; clamps 2; one switch 4
    "switch-box-2": (((14, 5),), 2, 10 + 2 + 2 + 4, 20.0, 22.5),
    # panels of group C, 14/2 in and out: 4 x 2; grounds 2; clamps 2; the last one: 2 x 2; 2; 2
    "fixture-10": (((14, 4),), 2, 12, 12.5, 15.5),
    "fixture-9": (((14, 4),), 2, 12, 12.5, 15.5),
    "fixture-7": (((14, 4),), 2, 12, 12.5, 15.5),
    "fixture-8": (((14, 2),), 1, 8, 12.5, 15.5),
}

# Splices. Box 1: neutrals of four cables, grounds of four cables and three switches (7 ends: 2 connectors), hot of the
# feed and three switches: 1 + 2 + 1. Box 2: neutrals, grounds: 2. Ten fixtures, hot, neutral and ground each: 30. Six
# strips with a 0-10 V pair, two more each: 12. Together 48.
CONNECTORS = 4 + 2 + 30 + 12

# 12 lengths, two staples each; 128 + 17 = 145 ft / 4.5 ft = 32.2 -> 33
STAPLES = 24 + 33

SHOPPING = {
    # name: (quantity, price)
    "8 ft strip, frosted": (6, 6 * 86.00),
    "2 x 4 ft panel": (4, 4 * 92.00),
    "Bench lamp, long arm": (1, 84.00),
    "Toggle bolt, 3/16 x 3 in": (6 * 2 + 4 * 4, 2 * 9.90 + 2 * 4.80),  # between joists: two a strip, four a panel
    "Wallboard patch kit, for a hole in the wrong place": (1, 8.60),
    "Cable 14/2 with ground, NM-B": (169, 2 * 62.00),
    "Cable 14/3 with ground, NM-B": (21, 30.00),
    "Cable 18/2 for 0-10 V dimming": (87, 29.00),
    "Three-gang switch box, old work, 54 cu in": (1, 9.70),
    "One-gang switch box, old work, 22.5 cu in": (1, 4.05),
    "4 x 1 1/2 in octagon ceiling box, screw-on, 15.5 cu in": (4, 4 * 2.50),
    "Splicing connector, up to 5 wires": (CONNECTORS, 15.50),
    "Cable clamp for a 1/2 in knock-out": (10, 2 * 3.60),  # A: 2 + 1 ends at strips, B: 2 + 2 + 2 + 1
    "Insulated cable staple": (STAPLES, 7.90),
    "Wall dimmer, 0-10 V": (2, 2 * 34.00),  # A and B
    "Wall switch, three-way": (2, 2 * 7.80),  # C, at both boxes
    "Wall plate, one gang": (1, 1.30),
    "Wall plate, three gang": (1, 3.90),
    "Breaker, one-pole 15 A (the kind that your panel lists)": (1, 8.90),
}


@pytest.fixture(scope="module")
def plan():
    return demo_plan("bicycle_garage")


def test_every_foot_of_cable(plan):
    laid = [
        (run.start.id, run.end.id, run.cable, pytest.approx(run.length / FOOT), pytest.approx(run.slack / FOOT))
        for run in wired(plan).routing.runs
    ]
    assert laid == CABLE


def test_every_box_and_its_fill(plan):
    boxes = {box.place.id: box for box in wired(plan).boxes if box.kind != "fixture"}
    assert set(boxes) == set(BOXES)
    for identity, (wires, grounds, volume, smallest, pleasant) in BOXES.items():
        found = boxes[identity]
        assert (found.conductors, found.grounds) == (wires, grounds), identity
        assert found.needed == pytest.approx(volume), identity
        assert (found.smallest.volume, found.pleasant.volume) == (smallest, pleasant), identity


def test_the_load(plan):
    # At the highest setting: six 8 ft strips of 64 W and four panels of 50 W on 120 V; the lamp has 14 W.
    strips, panels, lamp = (
        max(s.watts for s in plan.model(key).settings) for key in ("strip-8-frosted", "panel-2x4", "bench-lamp-long")
    )
    lights, receptacles = wired(plan).loads
    assert (strips, panels, lamp) == (64.0, 50.0, 14.0)
    assert lights.total == pytest.approx((6 * 64 + 4 * 50) / 120)
    assert receptacles.total == pytest.approx(14 / 120)
    assert (lights.limit, receptacles.limit) == (12.0, 16.0)


def test_voltage_drop_at_the_farthest_fixture(plan):
    # The worst way is to fixture-5: all of A, B, C to box 1, then the four strips of B one by one less.
    whole, strip = (6 * 64 + 4 * 50) / 120, 64 / 120
    lengths = [(37, whole), (18, 4 * strip), (6.25, 3 * strip), (11, 2 * strip), (6.25, strip)]
    to_b = sum(2 * feet * amperes * 3.07 / 1000 for feet, amperes in lengths)
    panel = 50 / 120
    lengths = [(37, whole), (19, 4 * panel), (14, 4 * panel), (6, 3 * panel), (11, 2 * panel), (6, panel)]
    to_c = sum(2 * feet * amperes * 3.07 / 1000 for feet, amperes in lengths)
    drop, fixture = wired(plan).drops[0]
    assert drop * 120 == pytest.approx(max(to_b, to_c))
    assert fixture == ("fixture-5" if to_b > to_c else "fixture-8")


def test_everything_on_the_shopping_list(plan):
    bill = bill_of_materials(plan)
    found: dict[str, tuple[int, float]] = {}
    for line in bill.lines:
        quantity, price = found.get(line.item, (0, 0.0))
        found[line.item] = (quantity + line.quantity, price + float(line.price))
    assert found == {name: (quantity, pytest.approx(price)) for name, (quantity, price) in SHOPPING.items()}
    assert float(bill.total) == pytest.approx(sum(price for _, price in SHOPPING.values()))
