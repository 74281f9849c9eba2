"""Boxes and joists, counted by hand: joists 16 in on centre, 1 1/2 in wide, first centre line 8 in from the wall.

So wood lies from 7 1/4 to 8 3/4 in, from 23 1/4 to 24 3/4 in, and so on.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.ceiling import ceiling_points, light_cost, nudges
from core.ceiling.joists import joist_note
from core.light.engine import LightEngine
from core.plan import Furniture, JoistZone
from core.plan.ceiling import CeilingWork, Feeding
from core.units import INCH
from tests.core.ceiling.rooms import model, plan_of, rectangle

ALONG_Y = JoistZone("j", 90.0, 16 * INCH, 8 * INCH, 1.5 * INCH)
ALONG_X = JoistZone("j", 0.0, 16 * INCH, 8 * INCH, 1.5 * INCH)


def note_at(inches: float, zone: JoistZone = ALONG_Y, access: str = "open framing", made=None):
    place = (inches / 12, 5.0) if zone.direction_deg == 90.0 else (5.0, inches / 12)
    work = CeilingWork(access=access)  # type: ignore[arg-type]
    plan = plan_of(rectangle(24, 20), [place], joists=(zone,), ceiling=work, made=made)
    return joist_note(plan, ceiling_points(plan)[0])


@pytest.mark.parametrize("zone", [ALONG_Y, ALONG_X], ids=["along y", "along x"])
@pytest.mark.parametrize(
    ("inches", "lies", "edge"),
    [(24.0, "on", -0.75), (24.7, "on", -0.05), (26.0, "beside", 1.25), (21.5, "beside", 1.75), (32.0, "between", 7.25)],
)
def test_where_a_box_lies(zone: JoistZone, inches: float, lies: str, edge: float) -> None:
    note = note_at(inches, zone)
    assert note.lies == lies
    assert note.edge / INCH == pytest.approx(edge, abs=1e-6)


def test_the_box_follows_the_access() -> None:
    assert note_at(32.0).box == "bar-hanger box"
    assert note_at(26.0).box == "side-bracket box"
    assert note_at(24.0).box == "1/2 in pancake on the joist"
    assert note_at(32.0, access="closed").box == "expanding brace with box"
    assert note_at(32.0, access="from the attic").box == "bar-hanger box from above"


def test_no_joists_drawn_is_said() -> None:
    plan = plan_of(rectangle(24, 20), [(5, 5)])
    assert joist_note(plan, ceiling_points(plan)[0]).lies == "unknown"


def test_screws_in_wood_are_counted() -> None:
    # Screws 20 in to either side of the feed: with the body at 44 in they are at 24 and 64 in. Wood at 24, 56, 72.
    made = model(feeding=Feeding("ceiling box", screws=((-20 * INCH, 0.0), (20 * INCH, 0.0))))
    note = note_at(44.0, made=made)
    assert (note.screws_in_wood, note.screws) == (1, 2)
    assert note_at(44.6, made=made).screws_in_wood == 0  # 0.15 in from the edge: it would split out


def test_a_nudge_brings_the_box_into_a_clear_bay() -> None:
    plan = plan_of(rectangle(24, 20), [(24.5 / 12, 5)], joists=(ALONG_Y,))
    bay = next(n for n in nudges(plan, "f1") if n.gain == "box in a clear bay")
    # To be clear: joist edge 24 3/4 + half the box 2 + 3/4 free = 27 1/2 in, 3 in further right (and 4 in to the left).
    assert bay.dx / INCH == pytest.approx(3.0, abs=0.05)
    assert bay.dy == pytest.approx(0.0, abs=1e-9)
    assert joist_note(bay.plan, ceiling_points(bay.plan)[0]).lies == "between"


def test_a_nudge_brings_the_screws_into_wood() -> None:
    # Screws 32 in apart, two bays: both can bite at once. At 42 and 74 in they miss by 2 in less the edge of 1/4 in.
    made = model(feeding=Feeding("ceiling box", screws=((-16 * INCH, 0.0), (16 * INCH, 0.0))))
    plan = plan_of(rectangle(24, 20), [(58 / 12, 5)], joists=(ALONG_Y,), made=made)
    wood = next(n for n in nudges(plan, "f1") if "in wood" in n.gain)
    assert wood.gain == "2 of 2 screws in wood"
    assert wood.dx / INCH == pytest.approx(-1.5, abs=0.13)
    assert joist_note(wood.plan, ceiling_points(wood.plan)[0]).screws_in_wood == 2


def test_nothing_to_gain_is_no_nudge() -> None:
    plan = plan_of(rectangle(24, 20), [(32 / 12, 5)], joists=(ALONG_Y,))
    assert nudges(plan, "f1") == ()
    assert nudges(plan_of(rectangle(24, 20), [(5, 5)]), "f1") == ()


def test_what_a_nudge_costs_in_light_is_told_bench_by_bench() -> None:
    bench = Furniture("b", "bench", "Bench", 2.0, 1.5, 1.2, 0.6, 0.9)
    plan = replace(plan_of(rectangle(12, 10), [(24.5 / 12, 5)], joists=(ALONG_Y,)), furniture=(bench,))
    nudge = nudges(plan, "f1")[0]
    engine = LightEngine()
    before, after = engine.solve(plan, quick=True), engine.solve(nudge.plan, quick=True)
    (cost,) = light_cost(before, after)
    points = after.benches[0]
    assert cost.bench == "b"
    assert cost.after == pytest.approx(float(np.mean(points.responses.sum(axis=1))), rel=1e-5)
    assert cost.before > 0
    assert cost.before != pytest.approx(cost.after, rel=1e-6)
