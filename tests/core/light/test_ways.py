"""Ways that nothing can stand in: never one that a ray finds blocked, and most of those that are clear."""

import os
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.light.direct import FINE, direct
from core.light.enclosure import Enclosure, enclose
from core.light.grid import FloatArray
from core.light.receivers import plane_points
from core.light.visibility import blockers_of
from core.light.ways import are_clear
from core.photometry.distribution import CosinePower, Distribution, Opal
from tests.core.light.rooms import box, demo_plans, opal, rectangle, room_of

ELL = ((0.0, 0.0), (8.0, 0.0), (8.0, 3.0), (4.0, 3.0), (4.0, 7.0), (0.0, 7.0))
LAMPS = {"opal": Opal(0.3), "beam": CosinePower(2.0)}


def room_with(random: np.random.Generator, count: int) -> Enclosure:
    """Return a rectangle or an L with a few boxes in it, some of them askew."""
    things = []
    for k in range(count):
        (x, y), (width, depth) = random.uniform((1.0, 1.0), (7.0, 6.0)), random.uniform(0.2, 1.5, 2)
        bottom, rise = random.uniform(0.0, 1.0), random.uniform(0.05, 1.5)
        turn = float(random.choice([0.0, 90.0, random.uniform(0.0, 360.0)]))
        things.append(box(f"thing {k}", x, y, width, depth, bottom, bottom + rise, 0.5, rotation_deg=turn))
    outline = ELL if random.random() < 0.5 else rectangle(8.0, 7.0)
    return enclose(room_of(outline, 3.0, 0.8, 0.5, 0.2, tuple(things)))


def faces_of(enclosure: Enclosure, random: np.random.Generator) -> tuple[FloatArray, FloatArray]:
    """Return points on all surfaces and their normals, (n, 3) each."""
    points, normals = [], []
    for face in enclosure.surfaces:
        u0, v0, u1, v1 = face.whole.bounds
        points.append(face.to_room(random.uniform((u0, v0), (u1, v1), (20, 2))))
        normals.append(np.broadcast_to(face.normal, (20, 3)))
    return np.concatenate(points), np.concatenate(normals)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(0, 6), turn=st.sampled_from([0.0, 25.0]))
@pytest.mark.parametrize("distribution", LAMPS.values(), ids=LAMPS.keys())
def test_light_is_the_same_whether_ways_are_judged_or_not(
    distribution: Distribution, seed: int, count: int, turn: float
) -> None:
    random = np.random.default_rng(seed)
    enclosure = room_with(random, count)
    points, normals = faces_of(enclosure, random)
    x, y, z = random.uniform((0.7, 0.7, 2.0), (3.3, 2.3, 2.99))
    lamp = opal(x, y, z, 1.2, 0.1, 3000.0, turn, distribution)
    judged = direct(points, normals, lamp, blockers_of(enclosure.between, enclosure.boxes_between), FINE)
    traced = direct(points, normals, lamp, blockers_of(enclosure.between), FINE)
    assert np.array_equal(judged, traced)


def test_most_of_the_barn_needs_no_rays() -> None:
    (barn,) = [plan for plan in demo_plans() if "barn" in plan.name.lower()]
    enclosure = enclose(barn)
    points = plane_points(barn, enclosure, 0.3).points
    clear = are_clear(points, opal(4.0, 5.0, 3.5, 1.2, 0.1, 3000.0).box(), enclosure.boxes_between)
    assert 0.7 < clear.mean() < 1.0


def test_a_post_hides_what_is_behind_it_and_nothing_else() -> None:
    post = np.array([[[-0.1, 0.9, 0.0], [0.1, 1.1, 1.5]]])
    opening = np.array([[-0.2, 0.0, 2.0], [0.2, 0.0, 2.0]])
    points = np.array([[0.0, 1.3, 0.0], [0.0, 0.8, 0.0], [1.5, 1.3, 0.0], [0.0, 1.3, 1.9], [0.0, 1.0, 1.5001]])
    assert are_clear(points, opening, post).tolist() == [False, True, True, True, True]
    assert are_clear(points, opening, np.zeros((0, 2, 3))).all()


def test_products_of_matrices_leave_no_thread_turning_idly() -> None:
    """Set before NumPy is loaded, else it has no effect; what somebody has set stays."""
    code = "import sys, os, {}; assert 'numpy' not in sys.modules; print(os.environ['OPENBLAS_THREAD_TIMEOUT'])"
    bare = {name: value for name, value in os.environ.items() if name != "OPENBLAS_THREAD_TIMEOUT"}
    for package in ("core", "app"):
        for given_, wanted in (({}, "18"), ({"OPENBLAS_THREAD_TIMEOUT": "26"}, "26")):
            done = subprocess.run(
                [sys.executable, "-c", code.format(package)],
                env=bare | given_,
                capture_output=True,
                text=True,
                check=True,
            )
            assert done.stdout.strip() == wanted
