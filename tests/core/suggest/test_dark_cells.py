"""Cells that a layout leaves dark are found by quick light at every cell, before anything is solved in full."""

from __future__ import annotations

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.light.roomlight import Watch
from core.suggest.candidates import Places
from core.suggest.request import Request
from core.suggest.responses import Responses
from core.suggest.search import Search
from core.suggest.trust import Trust
from core.units import FOOT, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, bare

FINE = 0.1
"""Cells far smaller than the blocks from which readings are chosen [m]."""


@pytest.fixture
def search():
    plan, request = bare(), Request(minimum=50 * LUX_PER_FC)
    watch = Watch(None, None)
    responses = Responses(plan, LightEngine(step=FINE).ready_room(plan, watch), PANEL, watch)
    return Search(plan, PANEL, request, responses, Trust(responses.readings))


def in_feet(*centres):
    return Places(np.array(centres) * FOOT, np.zeros(len(centres)))


def test_a_corner_in_the_dark_is_read_from_then_on(search):
    known = len(search.responses.readings)
    one = search.layout("one", in_feet((2.0, 2.0)))
    added = search.falls_short(one)
    assert added > 0
    readings = search.responses.readings
    assert len(readings) == known + added
    light = search.responses.everywhere(search.ceiling.fixtures(one.places), PANEL)
    assert (light[readings.cells[known:]] < 50 * LUX_PER_FC).all()
    assert np.allclose(search.light(one.places)[known:], light[readings.cells[known:]], rtol=1e-3)


def test_a_bright_layout_has_none(search):
    many = in_feet(*((x, y) for x in (2.0, 6.0, 10.0) for y in (1.5, 5.0, 8.5)))
    assert search.falls_short(search.layout("many", many)) == 0
