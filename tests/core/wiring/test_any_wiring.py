"""Whatever a plan file says about the wiring, it is worked out, listed and tabled without a fault."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from core.plan.ceiling import CeilingWork
from core.plan.file import plan_from_text, plan_to_text
from core.plan.wiring import (
    Appliance,
    Circuit,
    Dimmer,
    Lead,
    Panel,
    Staged,
    SwitchBox,
    Wiring,
)
from core.shopping import bill_csv, bill_of_materials, bill_page, bill_text
from core.wiring import cable_rows, circuit_rows, settings_cards, wired
from core.wiring.as_findings import wiring_findings
from core.wiring.decisions import with_assumed
from tests.core.plan.strategies import PLACES, plans

LETTERS = st.sampled_from("ABCXQ")  # X and Q are no groups of the plan
GROUPS = st.lists(LETTERS, max_size=6).map(tuple)
IDS = st.sampled_from(["one", "two", "fixture-1", "machine-1", "gone"])
ACCESS = st.sampled_from(["open framing", "closed", "from the attic"])
STAGES = st.sampled_from(["existing", "to do", "done"])
CIRCUITS = st.builds(
    Circuit,
    id=IDS,
    name=st.text(max_size=8),
    breaker=st.sampled_from([15, 20, 30]),
    conductor=st.sampled_from([14, 12, 10]),
    volts=st.sampled_from([120, 240]),
    groups=GROUPS,
    continuous=st.booleans(),
    others=st.lists(st.builds(Appliance, name=st.text(max_size=5), amperes=st.just(3.0), machine=IDS), max_size=2).map(
        tuple
    ),
    garage_receptacles=st.booleans(),
)
BOXES = st.builds(
    SwitchBox,
    id=IDS,
    x=PLACES,
    y=PLACES,
    groups=st.lists(LETTERS, min_size=1, max_size=8).map(tuple),
    height=st.sampled_from([0.0, 1.2, 29.0]),
)
KINDS = st.sampled_from(["none", "forward phase", "reverse phase", "0-10 V"])
WIRINGS = st.builds(
    Wiring,
    panel=st.none() | st.builds(Panel, x=PLACES, y=PLACES, height=st.sampled_from([0.5, 1.8, 29.0])),
    circuits=st.lists(CIRCUITS, max_size=4).map(tuple),
    switch_boxes=st.lists(BOXES, max_size=4).map(tuple),
    dimmers=st.lists(st.builds(Dimmer, group=LETTERS, kind=KINDS, most_watts=st.just(50.0)), max_size=3).map(tuple),
    leads=st.lists(
        st.builds(Lead, id=IDS, group=LETTERS, x=PLACES, y=PLACES, length=st.sampled_from([0.5, 20.0])), max_size=2
    ).map(tuple),
    stages=st.lists(
        st.builds(
            Staged,
            thing=st.sampled_from(["fixture", "fixture box", "switch box", "switch", "cable", "breaker"]),
            at=IDS,
            stage=STAGES,
        ),
        max_size=4,
    ).map(tuple),
    walls=ACCESS,
    scheme=st.sampled_from(["daisy chain", "junction boxes"]),
    premises=st.sampled_from(["garage", "basement", "accessory building", "other"]),
)


@given(plans(), WIRINGS, ACCESS)
@settings(max_examples=80, deadline=None)
def test_any_wiring_is_worked_out(plan, wiring, access):
    plan = replace(plan, wiring=wiring, ceiling=CeilingWork(access=access))
    assert plan_from_text(plan_to_text(plan)) == plan
    done = wired(plan)
    assert len(circuit_rows(plan, done)) == len(done.circuits)
    assert all(row[3] >= 0 and row[4] >= 0 for row in cable_rows(plan, done))
    assert len(settings_cards(plan, done)) == len(plan.fixtures)
    assert all(finding.title for finding in wiring_findings(plan))
    bill = bill_of_materials(plan)
    assert all(line.quantity >= 1 and line.packs >= 0 for line in bill.lines)
    for write in (bill_csv, bill_text, bill_page):
        assert write(bill)
    assert wired(with_assumed(plan)).assumed == frozenset()
