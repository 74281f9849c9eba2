"""Discomfort glare: UGR of CIE 117, and how bright the luminous openings are.

    UGR = 8 lg[ (0.25 / Lb) sum( L^2 omega / p^2 ) ]

over all luminous openings in the field of view: L their luminance towards the eye [cd/m2], omega the solid angle [sr],
p Guth's position index, Lb = E_indirect / pi the background luminance from the room's own solution (CIE 117:1995).
Openings of less than 0.005 m2 seen area, and points, count as small sources, L^2 omega = 200 I^2 / d^2 (CIE 146/147).
The position index is Levin's closed form of Guth's plot (J. IES, 1975); it deviates from the plot by up to about 12 %,
that is 0.8 of a UGR step. Left out are openings with T/R > 3 or H/R > 1.9, which CIE 117's table does not cover (brow
and forehead hide them), and what is below or level with the eye. A long opening is cut into pieces. The formula does
not hold for openings of more than 1.5 m2, for solid angles outside 0.0003 to 0.1 sr (from memory), for indirect light,
or for daylight; `limits` says where that matters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.light.grid import FloatArray
from core.light.sources import Source
from core.light.visibility import Blockers

__all__ = [
    "GlareTerms",
    "brightness",
    "glare_terms",
    "glare_threshold_limits",
    "position_index",
    "ugr",
]

SMALL_AREA = 0.005
LARGE_AREA = 1.5
LEAST_ANGLE, MOST_ANGLE = 0.0003, 0.1
MOST_SIDEWAYS, MOST_UP = 3.0, 1.9
PIECE = 1.0 / 3.0
"""A piece of an opening is at most this share of its distance long."""
BARE_SHARE = 0.05
"""Share of a clear lens that the emitters behind it fill (assumed; common practice, no source)."""
UNSEEN = 10.0
"""UGR of a view without any glare source: the scale's lowest step."""


@dataclass(frozen=True)
class GlareTerms:
    """One view's parts, setting by setting to be put together with `ugr`.

    ``terms`` (fixtures,) are L^2 omega / p^2 at full level; ``indirect`` (fixtures,) the indirect illuminance at the
    eye [lx]; ``luminance`` (fixtures,) the average luminance of the opening towards the eye [cd/m2], 0 where it is
    unseen; ``limits`` says in words, fixture by fixture, where the formula's validity ends ('' where it holds).
    """

    terms: FloatArray
    indirect: FloatArray
    luminance: FloatArray
    limits: tuple[str, ...]

    def ugr(self, shares: FloatArray) -> float:
        """Return UGR at the level of each fixture (fixtures,)."""
        return ugr(float(self.indirect @ shares) / math.pi, float(self.terms @ shares**2))


def ugr(background: float, total: float) -> float:
    """Return UGR for a background luminance [cd/m2] and the sum of L^2 omega / p^2; 10 where nothing glares.

    Examples
    --------
    >>> round(ugr(50.0, 5000.0**2 * 0.01), 4)
    24.7753
    """
    if total <= 0.0:
        return UNSEEN
    return 8.0 * math.log10(0.25 / max(background, 1e-3) * total)


def position_index(sigma_deg: FloatArray | float, tau_deg: FloatArray | float) -> FloatArray:
    """Return Guth's position index for a source above the line of sight (Levin's form).

    Parameters
    ----------
    sigma_deg : angle off the line of sight [degree].
    tau_deg : angle from the vertical of the plane through source and line of sight [degree].

    Examples
    --------
    >>> round(float(position_index(20.0, 45.0)), 4)
    1.6905
    """
    s, t = np.asarray(sigma_deg, float), np.asarray(tau_deg, float)
    first = (35.2 - 0.31889 * t - 1.22 * np.exp(-2.0 * t / 9.0)) * 1e-3 * s
    second = (21.0 + 0.26667 * t - 0.002963 * t**2) * 1e-5 * s**2
    index: FloatArray = np.exp(first + second)
    return index


def brightness(source: Source, towards: FloatArray) -> float:
    """Return the average luminance [cd/m2] of an opening seen from a place (3,); infinite for a point."""
    offset = np.asarray(towards, float) - np.asarray(source.centre)
    unit = offset / np.linalg.norm(offset)
    seen = _area(source) * abs(unit[2])
    intensity = source.lumens * float(source.distribution.intensity(source.to_local(unit[None]))[0])
    return intensity / seen if seen > 0.0 else math.inf


def glare_terms(
    eye: FloatArray,
    looking_deg: float,
    sources: tuple[Source, ...],
    blockers: Blockers,
    indirect: FloatArray,
) -> GlareTerms:
    """Return one view's parts for an eye (3,) that looks level in a direction [degree]."""
    terms, luminance, limits = [], [], []
    for source in sources:
        term, bright, limit = _term(np.asarray(eye, float), looking_deg, source, blockers)
        terms.append(term)
        luminance.append(bright)
        limits.append(limit)
    return GlareTerms(np.array(terms), np.asarray(indirect, float), np.array(luminance), tuple(limits))


def glare_threshold_limits(area: float, solid_angle: float) -> str:
    """Return in words where the formula does not hold for an opening [m2] seen under a solid angle [sr], or ''."""
    if area > LARGE_AREA:
        return f"its opening of {area:.1f} m2 is larger than the {LARGE_AREA:g} m2 for which UGR holds"
    if solid_angle > MOST_ANGLE:
        return f"it fills {solid_angle:.2f} sr of the view; UGR holds up to {MOST_ANGLE:g} sr"
    if 0.0 < solid_angle < LEAST_ANGLE and area > SMALL_AREA:
        return f"it fills only {solid_angle:.5f} sr of the view; UGR holds from {LEAST_ANGLE:g} sr on"
    return ""


def _term(eye: FloatArray, looking_deg: float, source: Source, blockers: Blockers) -> tuple[float, float, str]:
    """Return L^2 omega / p^2, the luminance towards the eye, and the limit that is passed, for one source."""
    places, area = _pieces(source, eye)
    ray = places - eye
    angle = math.radians(looking_deg)
    ahead = ray[:, 0] * math.cos(angle) + ray[:, 1] * math.sin(angle)
    aside = -ray[:, 0] * math.sin(angle) + ray[:, 1] * math.cos(angle)
    up = ray[:, 2]
    in_view = (ahead > 1e-6) & (up > 1e-6)
    in_view &= (np.abs(aside) <= MOST_SIDEWAYS * ahead) & (up <= MOST_UP * ahead)
    if not in_view.any():
        return 0.0, 0.0, ""
    ray, ahead, aside, up = ray[in_view], ahead[in_view], aside[in_view], up[in_view]
    seen = ~blockers.occluded(np.broadcast_to(eye, ray.shape), ray * (1.0 - 1e-4))
    distance = np.linalg.norm(ray, axis=1)
    intensity = source.lumens * source.distribution.intensity(source.to_local(-ray / distance[:, None]))
    share = area / _area(source) if area > 0.0 else 1.0
    sigma = np.degrees(np.arccos(np.clip(ahead / distance, -1.0, 1.0)))
    tau = np.degrees(np.arctan2(np.abs(aside), up))
    weight = seen / position_index(sigma, tau) ** 2
    shown = _area(source) * np.abs(ray[:, 2]) / distance
    if float(shown.mean()) < SMALL_AREA:
        return float((200.0 * intensity**2 / distance**2 * weight).sum() * share), math.inf, ""
    luminance = intensity / shown
    omega = shown * share / distance**2
    term = float((luminance**2 * omega * weight).sum())
    bright = float(luminance[seen].max()) if seen.any() else 0.0
    return term, bright, glare_threshold_limits(_area(source), float((omega * seen).sum()))


def _area(source: Source) -> float:
    return 4.0 * source.half_length * source.half_width * (math.pi / 4 if source.is_round else 1.0)


def _pieces(source: Source, eye: FloatArray) -> tuple[FloatArray, float]:
    """Return the centres of an opening's pieces (n, 3) and the area of one [m2]; a round one stays whole."""
    if source.is_round:
        return source.places(np.zeros((1, 2))), _area(source)
    distance = float(np.linalg.norm(np.asarray(source.centre) - eye))
    longest = max(PIECE * distance, 1e-6)
    nu, nv = (min(24, max(1, math.ceil(2.0 * half / longest))) for half in (source.half_length, source.half_width))
    u, v = (np.arange(nu) + 0.5) * 2.0 / nu - 1.0, (np.arange(nv) + 0.5) * 2.0 / nv - 1.0
    local = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
    return source.places(local), _area(source) / len(local)
