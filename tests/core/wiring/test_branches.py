"""What was there stays and is added to; cable that is laid is used; switches are ordered together."""

from __future__ import annotations

from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.plan.wiring import Lead, Staged
from core.units import FOOT
from core.wiring import settings_cards, wired
from core.wiring.places import Place
from core.wiring.switch_orders import Effort, chosen_orders, shortest_orders
from tests.core.wiring.shops import box, feet, fixture, rewired, shop

ROW = [fixture(1, 4, 8), fixture(2, 10, 8), fixture(3, 16, 8)]
OLD = (Staged("switch box", "s1", "existing"), Staged("fixture", "f1", "existing"), Staged("fixture", "f3", "existing"))


def to_lay(plan):
    return [(run.id, round(run.length / FOOT, 6)) for run in wired(plan).routing.runs if run.to_buy > 0.0]


def test_new_cable_begins_at_the_nearest_thing_that_was_there():
    # f1 and f3 hang; f2 lies 6 ft from either. Without them a chain from the switch would be 4 + 1 + 8 ft.
    plan = rewired(shop(ROW), stages=OLD)
    assert to_lay(plan) == [("f1 > f2", 6.0)]
    (run,) = [run for run in wired(plan).routing.runs if run.to_buy > 0.0]
    assert "holds one cable more" in run.note
    assert {run.stage for run in wired(plan).routing.runs if run.to_buy == 0.0} == {"existing"}


def test_a_new_switch_feeds_what_was_there_at_its_nearest_and_goes_on_from_it():
    plan = rewired(shop(ROW), stages=OLD[1:])
    # Panel to switch 2 + 9 + 8 + 4 ft; f2 is the nearest, 4 + 1 + 8 ft; f1 and f3, joined already, are 6 ft from it.
    assert to_lay(plan) == [("panel > s1", 23.0), ("s1 > f2", 13.0), ("f2 > f1", 6.0)]
    assert [card.fixture for card in settings_cards(plan, wired(plan))] == ["f2", "f1", "f3"]
    drop, farthest = wired(plan).drops[0]
    assert farthest == "f3"
    assert drop > 0.0


def test_a_lead_and_what_hangs_on_it_already():
    lead = Lead("lead", "A", *feet(2, 8), *feet(5))
    plan = rewired(shop(ROW), switch_boxes=(), leads=(lead,), stages=OLD[1:2])
    assert to_lay(plan) == [("f1 > f2", 6.0), ("f2 > f3", 6.0)]


def test_what_is_done_keeps_the_order_that_was_planned():
    plan = shop(ROW)
    done = rewired(plan, stages=(Staged("fixture", "f2", "done"),))
    assert [run.id for run in wired(done).routing.runs] == [run.id for run in wired(plan).routing.runs]


def test_cable_that_is_laid_is_used():
    # By itself the chain would be s1 > f1 > f2 > f3; from the far end that is laid it takes 12 ft more.
    plan = rewired(shop(ROW), stages=(Staged("cable", "f3 > s1", "done"),))
    assert [run.id for run in wired(plan).routing.runs if run.group] == ["s1 > f3", "f3 > f2", "f2 > f1"]
    assert to_lay(plan)[1:] == [("f3 > f2", 6.0), ("f2 > f1", 6.0)]


POINTS = st.tuples(st.integers(0, 20), st.integers(0, 20))


def place(name, x, y):
    return Place(name, "switch box", name, float(x), float(y), 0.0)


def distance(a, b):
    return abs(a.x - b.x) + abs(a.y - b.y)


@given(st.lists(st.lists(POINTS, min_size=1, max_size=4), min_size=1, max_size=3), POINTS, POINTS)
@settings(max_examples=40, deadline=None)
def test_switch_orders_are_the_best_of_all_with_the_shortest_travellers(groups, panel, lamp):
    """Against trying every order of every group; feeds are the sum of the ways to the panel here, once a place."""
    known = {point: place(f"{point}", *point) for group in groups for point in group}
    boxes = {f"{n}": tuple(dict.fromkeys(known[p] for p in group)) for n, group in enumerate(groups)}
    start, end = place("panel", *panel), place("lamp", *lamp)

    def travellers(order):
        return sum(distance(a, b) for a, b in pairwise(order))

    def effort(a, b):
        return Effort(distance(a, b), distance(a, b))

    def feeds(entries):
        return sum(distance(start, entry) for entry in entries)

    def whole(choice):
        return feeds({order[0].id: order[0] for order in choice}.values()) + sum(distance(o[-1], end) for o in choice)

    every = []
    for own in boxes.values():
        orders = list(permutations(own))
        least = min(travellers(order) for order in orders)
        every.append([order for order in orders if travellers(order) <= least + 1e-9])
    best = min(whole(choice) for choice in product(*every))
    orders = {letter: shortest_orders(own, effort) for letter, own in boxes.items()}
    found = chosen_orders(orders, lambda entries: Effort(feeds(entries), 0.0), lambda _, last: effort(last, end))
    assert whole(list(found.values())) == pytest.approx(best)
    assert [travellers(order) for order in found.values()] == [travellers(orders[0]) for orders in every]


def test_two_groups_share_a_feed_where_that_is_shorter():
    # B is switched from both doors; A from s1 only. Entering B at s1 too saves a feed across the room to s2.
    plan = shop([fixture(1, 4, 8), fixture(2, 16, 8, "B")])
    plan = rewired(plan, switch_boxes=(box("s1", 4, 0, "AB"), box("s2", 16, 0, "B")))
    feeds = [run.id for run in wired(plan).routing.runs if not run.group]
    assert feeds == ["panel > s1"]
    assert [run.id for run in wired(plan).routing.runs if run.role == "travellers"] == ["s1 > s2"]


def test_sixteen_fixtures_in_rows_are_joined_by_the_shortest_chain_there_is():
    # Four rows of four, 4 ft apart: fifteen steps of 4 ft, and 4 + 1 + 2 ft from the switch to the nearest corner.
    rows = [fixture(4 * y + x, 4 + 4 * x, 2 + 4 * y) for y in range(4) for x in range(4)]
    plan = rewired(shop(rows), switch_boxes=(box("s1", 4, 0, "A"),))
    done = wired(plan)
    assert sum(run.length for run in done.routing.runs if run.group) / FOOT == pytest.approx(15 * 4 + 4 + 2)
    assert done.routing.methods[-1].text == "16 boxes: shortest daisy chain there is"


def test_several_cables_from_one_switch_are_joined_under_a_connector():
    # The switch is right under the ceiling between two fixtures, nearer to each than these are to each other.
    plan = rewired(shop([fixture(1, 2, 2), fixture(2, 17, 2)]), scheme="junction boxes")
    plan = rewired(plan, switch_boxes=(box("s1", 9, 0, "A", height=8),))
    switch = next(b for b in wired(plan).boxes if b.place.id == "s1")
    assert [(s.what, s.ends) for s in switch.splices if s.what == "switched hot"] == [("switched hot", 3)]
