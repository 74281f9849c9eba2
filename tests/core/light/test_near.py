"""Right beside a surface, where a point sees a few tiles and little else, the light does not hang on how they lie.

Source: Mitsuba 3.9.1; see tests/reference/harder/README.md. The points are those a centimetre or a few from something
that gets reflected light only; the numbers of patches are ones at which such a point was off by 2 to 4 % when tiles
kept the few rays they share with their patch.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import core.light.engine as engine_module
from core.light.engine import LightEngine
from core.light.near import MOST_TILES, close_tiles
from core.light.quality import FULL
from core.light.views import Views
from tests.reference.cases import plan_of

HARDER = Path(__file__).parents[2] / "reference" / "harder"


@pytest.mark.parametrize(
    ("name", "point", "patches"),
    [("m1_cabinet_row", 41, 1900), ("m3_tight_slot", 29, 1900), ("m7_faces", 37, 2000)],
)
def test_beside_a_surface(name: str, point: int, patches: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_module, "FULL", replace(FULL, patches=patches))
    case = json.loads((HARDER / f"{name}.json").read_text(encoding="utf-8"))
    at, normal = np.array(case["points"][point]), np.array(case["normals"][point])
    lux = LightEngine().receive(plan_of(case), at, normal).sum()
    assert lux == pytest.approx(case["E_lux"][point], rel=0.02)


def test_only_tiles_that_fill_much_of_a_view_count() -> None:
    """Patches of one tile each: the first point sees two of them and no others, the second a bit of each of thirty."""
    first = np.repeat([3, 4, -1], [60, 39, 1])
    second = np.arange(100) % 30
    tiles = np.stack([first, second]).astype(np.int32)
    views = Views(tiles, np.array([100, 100]), np.arange(100), 100)
    assert close_tiles(views).tolist() == [3, 4]


def test_the_number_of_tiles_is_limited() -> None:
    chance = np.random.default_rng(2)
    tiles = chance.permutation(np.repeat(np.arange(2 * MOST_TILES), 40)).reshape(-1, 50)
    views = Views(tiles.astype(np.int32), np.full(len(tiles), 50), np.zeros(2 * MOST_TILES, dtype=np.int64), 1)
    assert len(close_tiles(views)) == MOST_TILES
