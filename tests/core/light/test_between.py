"""What can come between two places in a room: the room's own surfaces only where a corner juts in."""

import numpy as np
import pytest

from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.sources import Source, sources_of
from core.light.visibility import blockers_of
from core.plan import Plan
from tests.core.light.rooms import box, hang, rectangle, room_of, strip

L_SHAPE = ((0.0, 0.0), (6.0, 0.0), (6.0, 3.0), (3.0, 3.0), (3.0, 6.0), (0.0, 6.0))
BOXES = (box("a", 1.5, 1.5, 1.0, 0.6, 0.0, 2.0, 0.4), box("b", 1.5, 2.6, 0.5, 0.5, 0.9, 1.4, 0.4, rotation_deg=30.0))
LAMP = strip(1.2, 0.2, 4000.0)


def places_in(plan: Plan, count: int) -> np.ndarray:
    enclosure, random = enclose(plan), np.random.default_rng(7)
    some = random.uniform((0.0, 0.0, 0.0), (6.0, 6.0, 3.0), size=(8 * count, 3))
    return some[~enclosure.covers(some)][:count]


@pytest.mark.parametrize("outline", [rectangle(6.0, 6.0), L_SHAPE], ids=["rectangle", "L"])
def test_nothing_is_lost_by_leaving_surfaces_out(outline: tuple[tuple[float, float], ...]) -> None:
    plan = room_of(outline, 3.0, 0.8, 0.5, 0.2, BOXES)
    enclosure, places = enclose(plan), places_in(plan, 4000)
    origins, directions = places[:2000], places[2000:] - places[:2000]
    everything, fewer = blockers_of(enclosure.triangles), blockers_of(enclosure.between)
    assert len(enclosure.between) < len(enclosure.triangles)
    stopped = everything.occluded(origins, directions)
    assert 100 < stopped.sum() < 1900
    assert (fewer.occluded(origins, directions) == stopped).all()


def test_the_wall_of_an_l_still_shades() -> None:
    enclosure = enclose(room_of(L_SHAPE, 3.0, 0.8, 0.5, 0.2))
    ray = np.array([[5.5, 2.5, 1.0]]), np.array([[-3.0, 3.0, 0.0]])
    assert blockers_of(enclosure.between).occluded(*ray)[0]
    assert not len(enclose(room_of(rectangle(6.0, 6.0), 3.0, 0.8, 0.5, 0.2)).between)


def test_a_fixture_through_a_wall_gives_only_what_is_inside() -> None:
    """Half the opening hangs beyond the wall: the floor gets what half the fixture gives."""
    plan = room_of(rectangle(6.0, 6.0), 3.0, 0.0, 0.0, 0.0)
    engine = LightEngine()
    at, up = np.array([[1.0, 3.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    through = engine.receive(hang(plan, (LAMP, 0.0, 3.0, 3.0, 0.0)), at, up)[0, 0]
    half = engine.receive(hang(plan, (strip(0.6, 0.2, 2000.0), 0.3, 3.0, 3.0, 0.0)), at, up)[0, 0]
    assert through == pytest.approx(half, rel=5e-3)
    lit = engine.solve(hang(plan, (LAMP, 0.0, 3.0, 3.0, 0.0)))
    same = engine.solve(hang(plan, (strip(0.6, 0.2, 2000.0), 0.3, 3.0, 3.0, 0.0)))
    assert lit.responses.sum() == pytest.approx(same.responses.sum(), rel=5e-3)


def test_which_places_are_in_the_room() -> None:
    enclosure = enclose(room_of(L_SHAPE, 3.0, 0.8, 0.5, 0.2))

    def held(source: Source) -> bool:
        return enclosure.holds(source.polygon())

    plan = room_of(L_SHAPE, 3.0, 0.8, 0.5, 0.2)
    for x, y, z, expected in ((1.0, 1.0, 3.0, True), (0.3, 1.0, 3.0, False), (4.5, 4.5, 2.0, False)):
        assert held(sources_of(hang(plan, (LAMP, x, y, z, 0.0)))[0]) is expected
