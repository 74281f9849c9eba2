"""No lumen is lost or made: what arrives on all surfaces is what the lamps emit, raw, before any normalisation.

In the manner of CIE 171:2006, 5.4: in a closed room the lumens of direct light on all faces add up to the lamp's. What
is off is the program's own mesh; the limits below are about twice what was measured.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.light.quality import FULL
from core.light.roomlight import Watch, prepare
from core.light.sources import sources_of
from core.photometry.distribution import Web
from core.photometry.lm63 import read_lm63
from core.plan import Plan
from tests.core.light.rooms import box, bulb, demo_plans, hang, rectangle, room_of, strip
from tests.core.photometry.samples import sample

DIRECT_ONLY = replace(FULL, patch_rays=0, receiver_rays=0, fewest_rays=1, sweeps=0)
EVERYWHERE = Web(
    tuple(float(g) for g in range(0, 181, 10)),
    (0.0, 45.0, 90.0),
    tuple(tuple(100.0 + 3.0 * g + c * (g % 40) / 20.0 for g in range(0, 181, 10)) for c in (0.0, 45.0, 90.0)),
)
LAMPS = {
    "opal strip": strip(1.2, 0.15, 4000.0),
    "opal panel with an upward share": strip(0.6, 0.6, 4000.0, upward_share=0.3),
    "round opal": strip(0.4, 0.4, 4000.0, opening="round"),
    "cosine beam": strip(1.2, 0.15, 4000.0, beam="cosine power", exponent=3.0),
    "narrow beam, a point": strip(0.0, 0.0, 4000.0, opening="point", beam="cosine power", exponent=20.0),
    "beam with an upward share": strip(0.3, 0.3, 4000.0, beam="cosine power", exponent=2.0, upward_share=0.4),
    "bare bulb": bulb(4000.0),
    "batwing web": strip(1.2, 0.15, 4000.0, beam="web", web=read_lm63(sample("batwing.ies")).web),
    "web that shines up too": strip(0.6, 0.2, 4000.0, beam="web", web=EVERYWHERE),
}
CROWDED = (
    box("bench", 1.5, 0.4, 2.0, 0.8, 0.85, 0.9, 0.5),
    box("chest", 1.2, 0.3, 0.5, 0.3, 0.9, 1.2, 0.5),
    box("cabinet", 3.7, 2.5, 0.6, 1.0, 0.0, 2.0, 0.5, rotation_deg=20.0),
)


def share_that_arrives(plan: Plan) -> float:
    """Return direct lumens on all surfaces / lumens emitted."""
    room = prepare(plan, DIRECT_ONLY, 0.5, Watch())
    sources = sources_of(plan)
    columns = room.columns(sources, Watch())
    arrived = sum(float(room.patches.area @ column.settled) for column in columns)
    return arrived / sum(source.lumens for source in sources)


@pytest.mark.parametrize("name", LAMPS)
@pytest.mark.parametrize("furniture", [(), CROWDED], ids=["empty", "crowded"])
def test_all_direct_lumens_arrive(name: str, furniture: tuple) -> None:
    bare = room_of(rectangle(4.4, 3.4), 2.6, 0.0, 0.0, 0.0, tuple(replace(b, reflectance=0.0) for b in furniture))
    plan = hang(bare, (LAMPS[name], 2.3, 1.6, 2.2, 25.0))
    assert share_that_arrives(plan) == pytest.approx(1.0, abs=0.004 if furniture else 0.002)


def test_a_lamp_close_to_surfaces() -> None:
    """A bulb 10 cm under the ceiling and 15 cm from a wall, a strip 6 cm above a cabinet: the hardest for a mesh."""
    bare = room_of(rectangle(4.4, 3.4), 2.6, 0.0, 0.0, 0.0, (box("cabinet", 2.0, 0.4, 1.0, 0.6, 0.0, 2.2, 0.0),))
    assert share_that_arrives(hang(bare, (bulb(1000.0), 3.5, 3.25, 2.5, 0.0))) == pytest.approx(1.0, abs=0.02)
    above = hang(bare, (strip(1.2, 0.1, 4000.0), 2.3, 0.4, 2.26, 0.0))
    assert share_that_arrives(above) == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("height", np.linspace(2.27, 2.37, 6).round(2))
@pytest.mark.parametrize("gap", [0.02, 0.05])
def test_a_strip_beside_a_wall(gap: float, height: float) -> None:
    """Tiles of the wall whose middle lies above the opening are dark there and bright below: 8 % might be lost."""
    bare = room_of(rectangle(4.0, 4.0), 2.4, 0.0, 0.0, 0.0)
    plan = hang(bare, (strip(2.4, 0.1, 5000.0), 2.0, gap + 0.05, height, 0.0))
    assert share_that_arrives(plan) == pytest.approx(1.0, abs=0.004 if gap < 0.03 else 0.0015)


ROOMS = {
    "pale and crowded": room_of(rectangle(4.4, 3.4), 2.6, 0.85, 0.7, 0.3, CROWDED),
    "nearly white": room_of(rectangle(3.0, 3.0), 2.5, 0.9, 0.9, 0.9),
    "L": room_of(((0, 0), (6, 0), (6, 2), (2, 2), (2, 5), (0, 5)), 2.5, 0.8, 0.6, 0.2),
    "acute": room_of(((0, 0), (5, 0), (0.6, 2.4)), 2.5, 0.8, 0.7, 0.3),
}


@pytest.mark.parametrize("name", ROOMS)
def test_energy_and_row_sums(name: str) -> None:
    """Raw: every exposed patch sees surfaces all around, and the surfaces absorb what the lamp emits."""
    plan = hang(ROOMS[name], (strip(1.2, 0.15, 4000.0), 1.2, 1.1, 2.4, 25.0))
    lighting = LightEngine(step=0.5).solve(plan)
    assert lighting.row_sums.min() >= 0.98
    assert lighting.row_sums.max() <= 1.0 + 1e-5
    assert lighting.energy_balance == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("plan", demo_plans(), ids=lambda plan: plan.name)
def test_energy_and_row_sums_in_the_demo_rooms(plan: Plan) -> None:
    lighting = LightEngine(step=0.5).solve(plan)
    assert lighting.row_sums.min() >= 0.98
    assert lighting.row_sums.max() <= 1.0 + 1e-5
    assert lighting.energy_balance == pytest.approx(1.0, abs=0.02)


def test_reciprocity() -> None:
    """A_i F_ij = A_j F_ji, here summed over what faces +x, +y and +z, counted with rays from either side."""
    room = prepare(ROOMS["pale and crowded"], FULL, 0.5, Watch())
    facing = [np.flatnonzero(np.abs(room.patches.normals @ axis - 1.0) < 1e-9) for axis in np.eye(3)]

    def flow(one: np.ndarray, other: np.ndarray) -> float:
        return float(room.patches.area[one] @ room.transfer.factors[np.ix_(one, other)].sum(axis=1))

    for one, other in combinations(facing, 2):
        assert flow(one, other) == pytest.approx(flow(other, one), rel=0.01)
