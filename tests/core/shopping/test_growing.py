"""A shop grows by one fixture: no kind of thing is needed less for it, whatever hangs there and however it is fed.

Things that take each other's place are counted together: switch boxes and plates of any number of gangs, ceiling boxes
of any size, switches and dimmers, breakers, cable of any gauge with as many wires.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.plan.ceiling import CeilingWork, Feeding
from core.plan.wiring import Circuit, Staged
from core.shopping import needs_of
from core.wiring import wired
from tests.core.wiring.shops import box, fixture, model, rewired, shop

TOGETHER = ("plate", "breaker", "switch", "dimmer")
MODELS = (
    model("own", feeding=Feeding("cable through knock-out"), dimming="0-10 V"),
    model("boxed", dimming="0-10 V"),
    model("hung", feeding=Feeding("hook and box")),
)
MIXES = (("own",), ("boxed",), ("own", "boxed"), ("own", "boxed", "hung"))
ALONG, UP = st.integers(1, 19), st.integers(1, 15)
ON_A_WALL = st.one_of(
    st.tuples(st.integers(0, 20), st.sampled_from([0, 16])), st.tuples(st.sampled_from([0, 20]), st.integers(0, 16))
)


def kind(key):
    if key.startswith("box"):
        return "switch box" if " gang " in key else "ceiling box"
    if key.startswith("cable ") and not key.endswith("control"):
        return f"cable with {key[-1]} wires"
    return next((word for word in TOGETHER if key.startswith(word)), key).replace("dimmer", "switch")


def quantities(plan):
    counts = Counter()
    for need in needs_of(plan):
        counts[kind(need.key)] += need.quantity
    return counts


@st.composite
def growing(draw, scheme, most, with_old=False):
    """Return a shop, and the same shop with one more fixture on a switch that has some.

    Nothing is there yet and groups may be switched from up to four places; or some fixtures, and perhaps the switches,
    were there before (``with_old``) and each group has one switch.
    """
    mix, letters = draw(st.sampled_from(MIXES)), draw(st.sampled_from(["A", "AB", "ABC"]))
    count = draw(st.integers(1, most))
    hung = [
        fixture(n, draw(ALONG), draw(UP), draw(st.sampled_from(letters)), draw(st.sampled_from(mix)))
        for n in range(count + 1)
    ]
    used = sorted({f.group for f in hung[1:]})
    boxes = [
        box(f"s{n}", *draw(ON_A_WALL), "".join(groups))
        for n in range(0 if with_old else draw(st.integers(0, 3)))
        if (groups := draw(st.sets(st.sampled_from(used))))
    ]
    boxes.append(box("last", 9, 0, "".join(used)))
    stages = [Staged("fixture", f.id, "existing") for f in hung[1:] if with_old and draw(st.booleans())]
    stages += [Staged("switch box", b.id, "existing") for b in boxes if stages and draw(st.booleans())]
    circuits = draw(st.sampled_from([(), (Circuit("c", "Lights", groups=tuple(used)),)]))
    plan = rewired(
        shop(hung[1:], MODELS), switch_boxes=tuple(boxes), scheme=scheme, stages=tuple(stages), circuits=circuits
    )
    dimmed = draw(st.booleans())
    plan = replace(
        plan,
        groups=tuple(replace(group, dimmable=dimmed) for group in plan.groups),
        ceiling=CeilingWork(access=draw(st.sampled_from(["open framing", "closed", "from the attic"]))),
    )
    return plan, replace(plan, fixtures=(*plan.fixtures, replace(hung[0], group=used[0])))


def fewer(before, after):
    return {key: (count, after[key]) for key, count in before.items() if after[key] < count}


@given(growing("daisy chain", 7))
@settings(max_examples=120, deadline=None)
def test_a_daisy_chain_never_needs_less_of_anything(plans):
    before, after = (quantities(plan) for plan in plans)
    assert fewer(before, after) == {}
    assert after.total() > before.total()


@given(growing("daisy chain", 18))
@settings(max_examples=15, deadline=None)
def test_nor_does_one_of_many_fixtures(plans):
    before, after = (quantities(plan) for plan in plans)
    assert fewer(before, after) == {}


@given(growing("daisy chain", 7, with_old=True))
@settings(max_examples=80, deadline=None)
def test_where_something_was_there_only_connectors_and_clamps_may_get_fewer(plans):
    """Those for a cable that is led into a thing that was there, where new cable now begins elsewhere."""
    before, after = (quantities(plan) for plan in plans)
    assert set(fewer(before, after)) <= {"connector", "clamp"}


@given(growing("junction boxes", 9))
@settings(max_examples=80, deadline=None)
def test_with_junctions_only_cable_and_what_holds_it_may_get_less(plans):
    """And where fewer legs leave the switches, for a new fixture lies on the way to others, their boxes too: what must
    fit into a box is counted by the cables that enter it."""
    before, after = (quantities(plan) for plan in plans)
    may = ("cable", "staple", "clamp")
    if legs_from_switches(plans[1]) < legs_from_switches(plans[0]):
        may += ("switch box", "plate")
    assert {key for key in fewer(before, after) if not key.startswith(may)} == set()


def legs_from_switches(plan):
    return sum(run.start.kind == "switch box" and run.role == "switch leg" for run in wired(plan).routing.runs)


def test_a_fixture_on_the_way_saves_a_leg_and_with_it_a_switch_box():
    """Two dimmed fixtures far apart take two legs with control wires from their switch, too many for one box."""
    dimmed = rewired(
        shop([fixture(1, 1, 1, "A", "own"), fixture(2, 8, 7, "A", "own")], MODELS),
        scheme="junction boxes",
        switch_boxes=(box("last", 9, 0, "A"),),
    )
    two = replace(dimmed, groups=tuple(replace(group, dimmable=True) for group in dimmed.groups))
    three = replace(two, fixtures=(*two.fixtures, fixture(0, 1, 2, "A", "own")))
    assert (legs_from_switches(two), legs_from_switches(three)) == (2, 1)
    assert (quantities(two)["switch box"], quantities(three)["switch box"]) == (2, 1)


def test_a_fixture_in_the_middle_is_a_junction_that_saves_cable():
    """Why cable is left out above: four boxes 6 ft around (10, 8) are joined by three lengths of 12 ft, with one in the
    middle by four of 6 ft. From the switch at (9, 0), 4 ft up, it is 4 + 3 ft to the nearest of them."""
    ends = [fixture(1, 16, 8), fixture(2, 10, 14), fixture(3, 4, 8), fixture(4, 10, 2)]
    four = rewired(shop(ends), scheme="junction boxes")
    five = replace(four, fixtures=(*four.fixtures, fixture(5, 10, 8)))
    lengths = [sum(run.length for run in wired(plan).routing.runs if run.group) / 0.3048 for plan in (four, five)]
    assert lengths == [pytest.approx(7 + 3 * 12), pytest.approx(7 + 4 * 6)]
    assert list(fewer(quantities(four), quantities(five))) == ["cable with 2 wires", "staple"]
