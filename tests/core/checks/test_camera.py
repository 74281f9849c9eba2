"""The camera: light on the subject by the inverse square law, what is in the frame by its angles, the ratio by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.checks.camera import SKIN, CameraLight, background_of, in_frame, subject_receivers
from core.checks.checker import Checker
from core.checks.findings import findings
from core.checks.survey import Survey
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.sources import sources_of
from core.light.visibility import blockers_of
from core.plan import Fixture, Furniture, Plan
from core.plan.checking import Camera, Checking
from tests.core.checks.shops import bench_shop, lamp, room

CAMERA = Camera("camera-1", 0.5, 2.0, 2.5, 2.0, name="Over the shoulder")


@pytest.fixture(scope="module")
def black():
    """A black room of 4 m with a bulb of 1000 cd above and behind the camera."""
    bulb = lamp(4000.0 * math.pi)
    fixtures = (Fixture("f", "bulb", 0.5, 2.0, height=3.6),)
    return Plan("black", room(), models=(bulb,), fixtures=fixtures, checking=Checking(cameras=(CAMERA,)))


def test_light_on_face_and_hands_is_vertical_and_towards_the_camera(black):
    """I cos / d2: the face is 2 m away and 2 m below the bulb, the hands 2.6 m."""
    enclosure = enclose(black)
    survey = Survey(black, [], enclosure, blockers_of(enclosure.triangles))
    (light,) = survey.ask(LightEngine(step=1.0), sources_of(black), None).cameras
    assert light.face[0] == pytest.approx(1000.0 * 2.0 / 8.0**1.5, rel=1e-3)
    assert light.hands[0] == pytest.approx(1000.0 * 2.0 / (4.0 + 2.6**2) ** 1.5, rel=1e-3)
    assert light.contrast(np.ones(1)) == math.inf, "what is behind the face is black"


def test_the_subject_faces_the_camera():
    at, normals = subject_receivers(CAMERA)
    assert at[:, 2] == pytest.approx([CAMERA.face_height, CAMERA.hands_height])
    assert normals == pytest.approx(np.array([[-1.0, 0.0, 0.0]] * 2))


def test_the_ratio_of_subject_and_background():
    light = CameraLight(CAMERA, np.array([300.0]), np.array([250.0]), np.array([100.0]), 0.5, ())
    assert light.contrast(np.ones(1)) == pytest.approx(300.0 * SKIN / (100.0 * 0.5))


def test_the_background_is_the_first_thing_behind_the_face(black):
    board = Furniture("board", "cabinet", "Board", 3.2, 2.0, 0.2, 2.0, 2.2, reflectance=0.62)
    plan = replace(black, furniture=(board,))
    enclosure = enclose(plan)
    place, normal, reflectance = background_of(CAMERA, enclosure, blockers_of(enclosure.triangles))
    assert place[0] == pytest.approx(3.1, abs=0.01)
    assert normal == pytest.approx((-1.0, 0.0, 0.0))
    assert reflectance == 0.62


@pytest.mark.parametrize(
    ("x", "y", "height", "angle", "shown"),
    [
        (3.5, 2.0, 2.0, 65.0, True),
        (3.5, 2.0, 3.9, 65.0, False),  # above the frame: 40 degrees up, half the picture's height is 20
        (3.5, 2.0, 3.9, 120.0, True),
        (0.2, 2.0, 1.5, 65.0, False),  # behind the camera
        (2.5, 3.8, 1.5, 65.0, False),  # aside: 42 degrees, half the picture's width is 32.5
        (2.5, 3.8, 1.5, 100.0, True),
    ],
)
def test_what_is_in_the_frame(black, x, y, height, angle, shown):
    plan = replace(black, fixtures=(Fixture("f", "bulb", x, y, height=height),))
    blockers = blockers_of(enclose(plan).triangles)
    assert in_frame(replace(CAMERA, angle_deg=angle), sources_of(plan), blockers) == ((0,) if shown else ())


def test_the_finding_says_all_that_a_camera_needs():
    plan = replace(
        bench_shop(1.9), checking=Checking(cameras=(replace(CAMERA, x=2.25, y=3.2, subject_x=2.25, subject_y=1.0),))
    )
    study = Checker(LightEngine(step=0.6)).study(replace(plan, furniture=()))
    found = next(f for f in findings(study, "All on", {"A": 1.0}) if f.where == "Over the shoulder")
    for words in (
        "Face ",
        "hands ",
        "times as bright as what is behind",
        "frame",
        "mixes to",
        "test with your shutter",
    ):
        assert words in found.cause
    assert "driver" in found.cause, "the reason why flicker is unknown"
