"""Bodies in the way, with clearances worked out by hand; and moving the fixture clears what was found.

The invented model is 48 x 6 in and 3 in deep; rooms are 8 ft (96 in) high unless told otherwise.
"""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files

import pytest

from core.ceiling import conflicts
from core.ceiling.as_findings import ceiling_findings
from core.checks.finding import Severity
from core.plan import JoistZone, KeepOut, Opening
from core.plan.ceiling import Feeding
from core.plan.edits import moved
from core.plan.file import plan_from_text
from core.units import FOOT, INCH
from tests.core.ceiling.rooms import model, plan_of, rectangle

ROOM = rectangle(24, 20)


def keep_out(kind: str, x: float, y: float, width: float, depth: float, drop: float = 4.0) -> KeepOut:
    """A keep-out with place and size in inches."""
    return KeepOut("k", kind, x * INCH, y * INCH, width * INCH, depth * INCH, drop=drop * INCH, name=f"The {kind}")  # type: ignore[arg-type]


def found(*keep_outs: KeepOut, places=((6.0, 5.0),), **more: object):
    return conflicts(plan_of(ROOM, list(places), keep_outs=keep_outs, **more))  # type: ignore[arg-type]


def test_an_overlap_is_a_conflict_with_its_depth() -> None:
    # Body from y = 57 to 63 in, track from 61 to 65 in: 2 in over one another; both hang below the ceiling.
    (conflict,) = found(keep_out("track", 72, 63, 20, 4))
    assert (conflict.severity, conflict.fixture, conflict.other) == ("conflict", "f1", "k")
    assert conflict.clearance / INCH == pytest.approx(-2.0)


def test_a_tight_place_and_a_free_one() -> None:
    # Track from 64 to 68 in: 1 in free, where 2 in are wanted; from 65.1 in it is free.
    (conflict,) = found(keep_out("track", 72, 66, 20, 4))
    assert conflict.severity == "tight"
    assert conflict.clearance / INCH == pytest.approx(1.0)
    assert conflict.wanted / INCH == pytest.approx(2.0)
    assert found(keep_out("track", 72, 67.2, 20, 4)) == ()


def test_a_body_that_hangs_below_a_beam_is_free_of_it_but_not_of_a_hatch() -> None:
    beam, hatch = keep_out("beam", 72, 60, 20, 20, 6), keep_out("hatch", 72, 60, 20, 20, 0)
    # In a 12 ft room, so that nothing else is near.
    assert found(beam, drop=6.6 * INCH, height_ft=12.0) == ()
    (conflict,) = found(beam, drop=6.25 * INCH, height_ft=12.0)
    assert conflict.clearance / INCH == pytest.approx(0.25)
    assert [c.severity for c in found(hatch, drop=24 * INCH, height_ft=12.0)] == ["conflict"]


def test_every_kind_of_keep_out_is_found_and_cleared_by_the_move_proposed() -> None:
    for kind in ("track", "opener", "hatch", "beam", "duct", "sprinkler", "fan", "other"):
        plan = plan_of(ROOM, [(12.0, 10.0)], keep_outs=(keep_out(kind, 150, 124, 12, 12),), height_ft=12.0)
        first = conflicts(plan)
        assert [c.other for c in first] == ["k"], kind
        assert first[0].shift is not None
        assert conflicts(moved(plan, ("f1",), *first[0].shift)) == (), kind


def test_an_open_overhead_door_takes_its_headroom() -> None:
    door = Opening("door", "overhead door", 0, 2 * FOOT, 9 * FOOT, 7 * FOOT)
    # Head at 84 in, headroom to 96 in: a body 3 in deep under a 96 in ceiling is 3 in too low, with a 108 in one not.
    low = found(openings=(door,))
    assert [(c.severity, round(c.clearance / INCH, 6)) for c in low] == [("conflict", -3.0)]
    high = found(openings=(door,), height_ft=9.0)
    assert [c.severity for c in high] == ["notice"]
    assert high[0].clearance / INCH == pytest.approx(9.0)
    assert found(openings=(door,), places=((18.0, 15.0),)) == ()


def test_a_door_swings_under_a_low_fixture() -> None:
    door = Opening("door", "door", 3, 3 * FOOT, 3 * FOOT, 80 * INCH)
    # Hung 13 1/4 in down, 3 in deep: underside at 79 3/4 in, the door 80 in high: 1/4 in too low.
    free = {"height_ft": 8.0, "drop": 13.25 * INCH}
    inside = [c for c in found(openings=(door,), places=((2.0, 15.0),), **free) if c.other == "door"]
    assert [round(c.clearance / INCH, 6) for c in inside] == [-0.25]
    away = [c for c in found(openings=(door,), places=((12.0, 10.0),), **free) if c.other == "door"]
    assert away == []


@pytest.mark.parametrize("swing", ["out", "along"])
def test_a_door_that_opens_outwards_or_slides_is_in_nobody_s_way(swing: str) -> None:
    door = Opening("door", "door", 3, 3 * FOOT, 3 * FOOT, 80 * INCH, swing=swing)  # type: ignore[arg-type]
    # Where the same door opening into the room is in the way by 1/4 in (above).
    met = found(openings=(door,), places=((2.0, 15.0),), drop=13.25 * INCH)
    assert [c for c in met if c.other == "door"] == []


def test_headroom_of_a_person_and_of_a_raised_sheet() -> None:
    # 8 ft room, hung 20 in down: underside at 96 - 23 = 73 in; 6 ft 4 in = 76 in does not pass by 3 in.
    both = found(drop=20 * INCH)
    assert {c.what: round(c.clearance / INCH, 6) for c in both} == {
        "a tall person": -3.0,
        "a sheet of plywood stood on end": -23.0,
    }
    # 10 ft room, hung 30 in down: underside at 87 in; a person passes, a sheet does not by 9 in.
    (sheet,) = found(drop=30 * INCH, height_ft=10.0)
    assert (sheet.severity, round(sheet.clearance / INCH, 6)) == ("notice", -9.0)


def test_a_body_through_a_wall_and_two_bodies_in_one_place() -> None:
    (wall,) = found(places=((1.5, 5.0),))
    assert wall.clearance / INCH == pytest.approx(-6.0)
    (pair,) = found(places=((6.0, 5.0), (6.0, 5.25)))
    assert pair.clearance / INCH == pytest.approx(-3.0)


def test_a_recessed_fixture_on_a_joist() -> None:
    can = model(
        mounting="recessed", length=6 * INCH, width=6 * INCH, opening="round", feeding=Feeding("cut-out", hole=5 * INCH)
    )
    zone = JoistZone("j", 90.0, 16 * INCH, 8 * INCH, 1.5 * INCH)
    # Hole from 24.5 to 29.5 in around 27 in; the joist ends at 24 3/4 in: 1/4 in too near.
    (conflict,) = found(places=((27 / 12, 5.0),), made=can, joists=(zone,))
    assert conflict.clearance / INCH == pytest.approx(-0.25)
    assert found(places=((32 / 12, 5.0),), made=can, joists=(zone,)) == ()


def test_the_barn_s_invented_track_and_door_are_found_and_cleared() -> None:
    barn = plan_from_text((files("demo_rooms") / "metal_wood_barn.json").read_bytes())
    met = [c for c in conflicts(barn) if c.severity == "conflict"]
    assert {c.other for c in met} >= {"track-1", "overhead-1"}
    assert {c.fixture for c in met} == {"fixture-10"}
    track = next(c for c in met if c.other == "track-1")
    assert track.shift is not None
    moved_away = moved(barn, (track.fixture,), *track.shift)
    assert [c for c in conflicts(moved_away) if c.severity == "conflict"] == []
    # Into the opener: found too.
    opener = next(k for k in barn.room.keep_outs if k.kind == "opener")
    bay = barn.fixture("fixture-10")
    under = moved(barn, ("fixture-10",), opener.x - bay.x, opener.y - bay.y)
    assert "opener-1" in {c.other for c in conflicts(under) if c.severity == "conflict"}


def test_conflicts_stand_among_the_findings() -> None:
    plan = plan_of(ROOM, [(6.0, 5.0)], keep_outs=(keep_out("track", 72, 63, 20, 4),))
    (finding,) = ceiling_findings(plan)
    assert (finding.severity, finding.figure, finding.unit) == (Severity.ACT, -2.0, "in")
    assert finding.target == "at least 2"
    assert "The track" in finding.what
    assert finding.about == ("f1", "k")
    metric = ceiling_findings(replace(plan, units="metric"))
    assert (metric[0].figure, metric[0].unit) == (-51.0, "mm")
