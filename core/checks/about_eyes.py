"""Findings about what the eyes meet: glare, bare emitters, contrast, faces and racks, and the camera."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from core.checks.camera import FLICKER, CameraLight
from core.checks.colour import mixed
from core.checks.contrast import CEILING_LEAST, TASK_SHARE, WALL_LEAST
from core.checks.faces import LEAST_CYLINDRICAL, MODELLING
from core.checks.finding import Finding, Severity, Wording
from core.checks.glare import BARE_SHARE, UNSEEN
from core.checks.study import Study, View
from core.light.grid import FloatArray

__all__ = ["camera_findings", "eye_findings"]

HARSH = 40.0
"""Most that a lamp may be brighter than what is around it in the field of view (40 : 1, from memory, not verified)."""
RACK_LEAST = 100.0
"""Vertical light on a rack at which tools are told apart [lx] (common practice, no source)."""
WASHED_OUT, FLAT_FACE = 1.0, 8.0


def eye_findings(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """Yield what there is to say about glare, contrast, faces and racks at one setting (fixtures,)."""
    for view in study.views:
        yield _glare(view, study, shares, wording)
    yield from _bare(study, shares, wording)
    yield from _lamp_on_ceiling(study, shares, wording)
    yield from _surfaces(study, shares, wording)
    yield from _faces(study, shares, wording)
    yield from _racks(study, shares, wording)


def _glare(view: View, study: Study, shares: FloatArray, wording: Wording) -> Finding:
    value, limit = view.glare.ugr(shares), study.plan.checking.glare
    terms = view.glare.terms * shares**2
    fine = value <= limit
    severity = Severity.GOOD if fine else Severity.MIND if value <= limit + 3.0 else Severity.ACT
    cause = remedy = ""
    about = view.about
    if terms.sum() > 0.0 and not fine:
        worst = int(terms.argmax())
        about = (*about, study.plan.fixtures[worst].id)
        cause = (
            f"{wording.fixture(worst)} gives {100.0 * terms[worst] / terms.sum():.0f} % of the glare, with "
            f"{view.glare.luminance[worst] * shares[worst]:,.0f} cd/m2 before a background of "
            f"{float(view.glare.indirect @ shares) / math.pi:,.0f} cd/m2."
        )
        remedy = (
            "Move it out of the view, turn it end-on, choose a wider or frosted one, or make ceiling and walls lighter."
        )
    beyond = [
        f"{wording.fixture(number)}: {limit_}"
        for number, limit_ in enumerate(view.glare.limits)
        if limit_ and terms[number] > 0.02 * terms.sum()
    ]
    if beyond:
        cause += f" Take the figure with care: {beyond[0]}."
    shown = "no lamp in view" if terms.sum() <= 0.0 else "UGR below 10" if value < UNSEEN else f"UGR {value:.0f}"
    return Finding(
        severity,
        wording.combination,
        view.name,
        "glare (UGR, CIE 117) looking " + _compass(view.direction_deg),
        round(max(value, UNSEEN), 1),
        "UGR",
        f"at most {limit:g}",
        "your target; EN 12464-1:2011 is recalled as 25 at benches, 19 at machines (from memory)",
        cause.strip(),
        remedy,
        f"{view.name}: lamps glare, {shown}" if not fine else f"{view.name}: no glare to speak of, {shown}",
        (float(view.place[0]), float(view.place[1])),
        about,
        (value - limit) / 10.0,
    )


def _compass(direction_deg: float) -> str:
    words = ("right", "up and right", "up", "up and left", "left", "down and left", "down", "down and right")
    return words[round(direction_deg / 45.0) % 8] + " on the plan"


def _bare(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """One line for each model with a clear lens that is on and in somebody's view."""
    seen: set[str] = set()
    for number, fixture in enumerate(study.plan.fixtures):
        model = study.plan.model(fixture.model)
        if model.lens != "clear" or model.id in seen or shares[number] <= 0.0:
            continue
        bright = [float(v.glare.luminance[number]) for v in study.views if v.glare.luminance[number] > 0.0]
        if not bright:
            continue
        seen.add(model.id)
        average = max(bright)
        shown = f"{average:,.0f} cd/m2" if math.isfinite(average) else "a point without size"
        bare = f"about {average / BARE_SHARE:,.0f} cd/m2" if math.isfinite(average) else "far more"
        yield Finding(
            Severity.MIND,
            wording.combination,
            model.name,
            "bare emitters in view (average luminance of the opening)",
            round(average) if math.isfinite(average) else None,
            "cd/m2",
            "",
            "",
            f"Behind a clear lens the emitters themselves are seen: {bare} if they fill {100.0 * BARE_SHARE:g} % of it "
            f"(assumed, no source), where a frosted lens of its size shows {shown} all over. UGR uses the average and "
            "so says too little.",
            "Take the frosted lens, or hang it where nobody looks into it.",
            f"{model.name}: bare emitters in view",
            (fixture.x, fixture.y),
            tuple(f.id for f in study.plan.fixtures if f.model == model.id),
            0.2,
        )


def _lamp_on_ceiling(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """One line for the brightest opening that somebody has in view, against the ceiling."""
    seen = [
        (float(bright), number)
        for view in study.views
        for number, bright in enumerate(view.glare.luminance * shares)
        if 0.0 < bright < math.inf
    ]
    ceiling = study.ceiling.luminance(shares)
    if not seen or ceiling <= 0.0:
        return
    bright, number = max(seen)
    fixture, ratio = study.plan.fixtures[number], bright / ceiling
    fine = ratio <= HARSH
    yield Finding(
        Severity.GOOD if fine else Severity.MIND,
        wording.combination,
        "Ceiling",
        "luminance of the brightest lamp in view / that of the ceiling",
        round(ratio),
        "ratio",
        f"at most {HARSH:g}",
        "40 : 1 within the field of view (from memory, not verified)",
        f"{wording.fixture(number)} has {bright:,.0f} cd/m2, the ceiling {ceiling:,.0f} cd/m2 on average.",
        "" if fine else "Take a wider or frosted fixture, one that also throws light up, or paint the ceiling lighter.",
        f"Lamps {ratio:,.0f} times as bright as the ceiling",
        (fixture.x, fixture.y),
        (fixture.id,),
        0.1,
    )


def _surfaces(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    tops = [
        (float(bench.lux(shares).mean()) * wording.factor * study.plan.piece(bench.bench).reflectance / math.pi)
        for bench in study.lighting.benches
        if len(bench.points)
    ]
    task = max(tops, default=0.0)
    for name, faces, least in (("Ceiling", study.ceiling, CEILING_LEAST), ("Walls", study.walls, WALL_LEAST)):
        lux, bright = faces.lux(shares) * wording.factor, faces.luminance(shares) * wording.factor
        ratio = bright / task if task > 0.0 else math.nan
        dark = lux < least or (task > 0.0 and ratio < TASK_SHARE)
        cause = f"Its average luminance is {bright:,.0f} cd/m2"
        cause += f", {ratio:.2f} of the brightest bench top." if task > 0.0 else "."
        yield Finding(
            Severity.MIND if dark else Severity.GOOD,
            wording.combination,
            name,
            "average light on it",
            wording.number(lux),
            wording.light_unit,
            f"at least {wording.number(least):g}",
            f"EN 12464-1:2011, {least:g} lx (from memory); at least a tenth of the task's luminance (common practice)",
            cause,
            "Paint it lighter, or take fixtures that also throw light up." if dark else "",
            f"{name}: dark against the bench" if dark else f"{name}: bright enough beside the bench",
            None,
            (),
            0.1,
        )


def _faces(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    for stand, face in study.faces:
        name = stand.item.name or stand.item.id
        round_, ratio = face.cylindrical(shares) * wording.factor, face.modelling(shares)
        low, high = MODELLING
        gloomy = round_ < LEAST_CYLINDRICAL
        word = (
            "gloomy" if gloomy else "flat" if ratio > high else "harsh, from above" if ratio < low else "well modelled"
        )
        fine = word == "well modelled"
        cause = (
            f"At the face: vertical {wording.light(face.vertical(shares) * wording.factor)}, cylindrical "
            f"{wording.light(round_)}, semi-cylindrical "
            f"{wording.light(face.semicylindrical(shares) * wording.factor)}, modelling {ratio:.2f}."
        )
        remedy = {
            "gloomy": "Bring light to the walls or the ceiling beside the person.",
            "flat": "Let more light come from above than from the sides.",
            "harsh, from above": "Let some light come from the side: lighter walls, or fixtures beside the person.",
        }.get(word, "")
        yield Finding(
            Severity.GOOD if fine else Severity.MIND,
            wording.combination,
            name,
            "modelling (cylindrical / horizontal illuminance at the worker's face)",
            round(ratio, 2),
            "ratio",
            f"{low:g} to {high:g}",
            f"EN 12464-1 (makers' explainers), with {LEAST_CYLINDRICAL:g} lx cylindrical at least",
            cause,
            remedy,
            f"{name}: light on the face is {word}",
            (stand.x, stand.y),
            (stand.item.id,),
            0.05 + (0.3 if gloomy else 0.0),
        )


def _racks(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    for rack in study.racks:
        lux = rack.light.vertical(shares) * wording.factor
        fine = lux >= RACK_LEAST
        name = rack.item.name or rack.item.id
        figures = (
            f"Before its front: vertical {wording.light(lux)}, cylindrical "
            f"{wording.light(rack.light.cylindrical(shares) * wording.factor)}, modelling "
            f"{rack.light.modelling(shares):.2f}."
        )
        yield Finding(
            Severity.GOOD if fine else Severity.MIND,
            wording.combination,
            name,
            "vertical light on its front",
            wording.number(lux),
            wording.light_unit,
            f"at least {wording.number(RACK_LEAST):g}",
            "common practice, no source",
            figures if fine else f"Its front faces away from the light. {figures}",
            "" if fine else "Hang a fixture 2 to 3 ft before it, or turn it.",
            f"{name}: {wording.light(lux)} on its front",
            (rack.item.x, rack.item.y),
            (rack.item.id,),
            0.02,
        )


def camera_findings(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """Yield what each camera gets at one setting (fixtures,)."""
    for camera in study.cameras:
        yield _camera(camera, study, shares, wording)


def _camera(light: CameraLight, study: Study, shares: FloatArray, wording: Wording) -> Finding:
    camera = light.camera
    face, hands = (float(part @ shares) * wording.factor for part in (light.face, light.hands))
    ratio = light.contrast(shares)
    shown = [wording.fixture(number) for number in light.in_frame if shares[number] > 0.0]
    mix = mixed([(float(lux), study.plan.fixtures[n].colour) for n, lux in enumerate(light.face * shares)])
    sentences = [
        f"Face {wording.light(face)}, hands {wording.light(hands)} towards the camera.",
        f"The face is {ratio:.1f} times as bright as what is behind it (skin 0.35, assumed)."
        if np.isfinite(ratio)
        else "What is behind the face is black.",
        f"In the frame: {', '.join(shown)}." if shown else "No lit fixture is in the frame.",
        f"The light on the face mixes to {mix.cct:,.0f} K, Duv {mix.duv:+.4f}." if mix is not None else "",
        FLICKER,
    ]
    poor = ratio < WASHED_OUT or ratio > FLAT_FACE or bool(shown)
    remedy = ""
    if ratio < WASHED_OUT:
        remedy = "Bring light to the face, or turn the camera away from the bright wall."
    elif shown:
        remedy = "Turn or move the camera until no lamp is in the frame."
    elif poor:
        remedy = "Light what is behind the person, or move them nearer to a lighter wall."
    name = camera.name or camera.id
    return Finding(
        Severity.MIND if poor else Severity.GOOD,
        wording.combination,
        name,
        "vertical light on the face, towards the camera; flicker unknown",
        wording.number(face),
        wording.light_unit,
        "",
        "",
        " ".join(sentence for sentence in sentences if sentence),
        remedy,
        f"{name}: {wording.light(face)} on the face",
        (camera.subject_x, camera.subject_y),
        (),
        0.1,
    )
