"""A camera and the person that it looks at: light on face and hands, subject against background, what is in the frame.

Light on the subject is vertical illuminance towards the camera. The background is what the camera meets behind the
subject; the ratio compares luminances, with 0.35 for skin (assumed; common practice, no source). Flicker cannot be
told from a data sheet's lumens and watts: it depends on the driver and on the shutter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.light.enclosure import Enclosure
from core.light.grid import FloatArray
from core.light.sources import Source
from core.light.visibility import Blockers
from core.plan.checking import Camera

__all__ = ["FLICKER", "SKIN", "CameraLight", "background_of", "in_frame", "subject_receivers"]

SKIN = 0.35
FRAME_RATIO = 9.0 / 16.0
BEHIND = 0.25
"""The background begins this far behind the subject [m]."""
FLICKER = (
    "Flicker is unknown: test with your shutter. It comes from the driver, not from lumens and watts, and a data sheet "
    "rarely tells; at 1/50 or 1/60 s and at 1/200 s film a white wall and look for bands."
)


@dataclass(frozen=True)
class CameraLight:
    """One camera's view: responses (fixtures,) at face, hands and background [lx], the background's reflectance, and
    the numbers of the fixtures whose opening is in the frame."""

    camera: Camera
    face: FloatArray
    hands: FloatArray
    background: FloatArray
    background_reflectance: float
    in_frame: tuple[int, ...]

    def contrast(self, shares: FloatArray) -> float:
        """Return the luminance of the face / that of the background; infinite before a black one."""
        behind = float(self.background @ shares) * self.background_reflectance
        return float(self.face @ shares) * SKIN / behind if behind > 0.0 else math.inf


def subject_receivers(camera: Camera) -> tuple[FloatArray, FloatArray]:
    """Return the points face, hands (2, 3) and their normals, level and towards the camera."""
    towards = np.array([camera.x - camera.subject_x, camera.y - camera.subject_y, 0.0])
    length = float(np.linalg.norm(towards))
    normal = towards / length if length > 1e-6 else np.array([1.0, 0.0, 0.0])
    at = [[camera.subject_x, camera.subject_y, z] for z in (camera.face_height, camera.hands_height)]
    return np.array(at), np.tile(normal, (2, 1))


def background_of(camera: Camera, enclosure: Enclosure, blockers: Blockers) -> tuple[FloatArray, FloatArray, float]:
    """Return the place (3,), normal (3,) and reflectance of what the camera sees behind the subject's face."""
    lens = np.array([camera.x, camera.y, camera.height])
    face = np.array([camera.subject_x, camera.subject_y, camera.face_height])
    ray = face - lens
    ray = ray / max(float(np.linalg.norm(ray)), 1e-6)
    start = face + BEHIND * ray
    triangle, distance = blockers.first_hit(start[None], ray[None])
    if triangle[0] < 0:
        return start, -ray, 0.0
    surface = enclosure.surfaces[int(enclosure.triangle_surface[triangle[0]])]
    return start + ray * float(distance[0]) + 1e-3 * surface.normal, surface.normal, surface.reflectance


def in_frame(camera: Camera, sources: tuple[Source, ...], blockers: Blockers) -> tuple[int, ...]:
    """Return the numbers of the sources of which some part lies in the picture (16:9, level horizon), unhidden."""
    lens = np.array([camera.x, camera.y, camera.height])
    face = np.array([camera.subject_x, camera.subject_y, camera.face_height])
    forward = (face - lens) / max(float(np.linalg.norm(face - lens)), 1e-6)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right = right / max(float(np.linalg.norm(right)), 1e-6)
    up = np.cross(right, forward)
    wide = math.tan(math.radians(camera.angle_deg) / 2)
    spots = np.stack(np.meshgrid(np.linspace(-1, 1, 9), np.linspace(-1, 1, 3), indexing="ij"), axis=-1).reshape(-1, 2)
    found = []
    for number, source in enumerate(sources):
        ray = source.places(spots) - lens
        depth = ray @ forward
        shown = (depth > 1e-6) & (np.abs(ray @ right) <= wide * depth)
        shown &= np.abs(ray @ up) <= wide * FRAME_RATIO * depth
        if shown.any():
            some = ray[shown]
            hidden = blockers.occluded(np.broadcast_to(lens, some.shape), some * (1.0 - 1e-4))
            if not hidden.all():
                found.append(number)
    return tuple(found)
