"""Findings about the amount of light and its evenness: benches, machines, their surround, the room."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.evenness import (
    SURROUND_LEAST,
    VISIBLE_STEP,
    darkest_stand,
    steepest_step,
    surround,
)
from core.checks.finding import Finding, Severity, Wording
from core.checks.standing import has_top, stands
from core.checks.study import Study
from core.checks.targets import Target, room_target, work_target
from core.light.field import Field, Figures, figures
from core.light.grid import FloatArray
from core.plan import Furniture

__all__ = ["light_findings"]

ROUNDING = 0.995
FAR_BELOW = 0.75
HOPELESS, NOTHING = 0.2, 0.01
"""Below these shares of what is wanted the setting is not meant to light a place, or nothing reaches it."""
MUCH_MORE = 2.0
DARK_STAND = 0.5
"""A standing place with less than this share of the room's average is called dark (common practice, no source)."""


def light_findings(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """Yield what there is to say about amount and evenness at one setting (fixtures,)."""
    plan, lighting = study.plan, study.lighting
    field = lighting.field({group: float(share) for group, share in zip(lighting.groups, shares, strict=True)})
    for bench in lighting.benches:
        item = plan.piece(bench.bench)
        yield from _work(study, item, figures(bench.lux(shares)), shares, wording)
    for shadow in study.shadows:
        if shadow.stand.item.kind == "machine":
            yield from _work(study, shadow.stand.item, figures(shadow.before @ shares), shares, wording)
    room = Target(room_target(plan).value, room_target(plan).source)
    yield _enough("Room", "average light", field.room.average, room, wording, shares, ())
    yield from _even("Room", field.room, plan.targets.evenness, "your target", wording, ())
    yield from _step(field, study, wording)
    yield from _dark_stand(study, field, shares, wording)
    if not plan.benches():
        yield _no_bench(wording)


def _work(study: Study, item: Furniture, light: Figures, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    name = item.name or item.id
    yield _enough(
        name,
        "average light on its top" if has_top(item) else "average light on its table",
        light.average,
        work_target(study.plan, item),
        wording,
        shares,
        (item.id,),
        item,
    )
    yield from _even(name, light, study.plan.targets.evenness, "your target", wording, (item.id,), item)
    around = surround(study.lighting, item, shares)
    if around.average > 0.0:
        fine = around.evenness >= SURROUND_LEAST * ROUNDING
        yield Finding(
            Severity.GOOD if fine else Severity.MIND,
            wording.combination,
            name,
            "evenness of the surround (minimum / average, 20 in around it)",
            round(around.evenness, 2),
            "ratio",
            f"at least {SURROUND_LEAST:g}",
            "EN 12464-1:2011 for the immediate surround",
            f"Around it the light goes from {wording.light(around.minimum * wording.factor)} to "
            f"{wording.light(around.maximum * wording.factor)}; minimum / maximum is "
            f"{around.minimum / around.maximum:.2f}.",
            "" if fine else "Bring light to the dark side, or paint what stands there lighter.",
            f"{name}: {'even' if fine else 'uneven'} around it, {around.evenness:.2f}",
            (item.x, item.y),
            (item.id,),
            1.0 - around.evenness,
        )


def _enough(
    name: str,
    what: str,
    lux: float,
    target: Target,
    wording: Wording,
    shares: FloatArray,
    about: tuple[str, ...],
    item: Furniture | None = None,
) -> Finding:
    lux *= wording.factor
    share = lux / target.value
    cause = remedy = ""
    severity = Severity.GOOD
    title = f"{name}: {wording.light(lux)}"
    if share < ROUNDING:
        severity = Severity.ACT if share < FAR_BELOW else Severity.MIND
        title += ", too little"
        missing = f"{wording.light(target.value - lux)} are missing"
        down = any(level < 1.0 for level in shares)
        cause = f"{missing}, {100.0 * (1.0 - share):.0f} % of what is wanted."
        remedy = "Turn up what is off or dimmed" if down else "Everything is on"
        if share < NOTHING:
            cause = "Hardly any light gets here."
            remedy = f"{remedy}; look what stands in the way, or hang a fixture near it."
        elif share < HOPELESS and down:
            remedy += "; what is on hangs too far from here to light it."
        else:
            remedy += (
                f"{', or' if down else ':'} hang {1.0 / max(share, 0.01):.1f} times the lumens, or bring them nearer."
            )
    elif share > MUCH_MORE:
        severity, title = Severity.MIND, f"{title}, more than needed"
        cause, remedy = f"{share:.1f} times what is wanted.", f"Dim it to {100.0 / share:.0f} %, or do with less."
    return Finding(
        severity,
        wording.combination,
        name,
        f"{what} ({wording.kind})",
        wording.number(lux),
        wording.light_unit,
        f"at least {wording.number(target.value):g}",
        target.source,
        cause,
        remedy,
        title,
        (item.x, item.y) if item is not None else None,
        about,
        (1.0 - share) if share < 1.0 else 0.0,
    )


def _even(
    name: str,
    light: Figures,
    least: float,
    source: str,
    wording: Wording,
    about: tuple[str, ...],
    item: Furniture | None = None,
) -> Iterator[Finding]:
    if light.average <= 0.0:
        return
    fine = light.evenness >= least * ROUNDING
    low, high = wording.light(light.minimum * wording.factor), wording.light(light.maximum * wording.factor)
    ratio = light.minimum / light.maximum if light.maximum > 0.0 else 0.0
    yield Finding(
        Severity.GOOD if fine else Severity.MIND,
        wording.combination,
        name,
        "evenness (minimum / average)",
        round(light.evenness, 2),
        "ratio",
        f"at least {least:g}",
        f"{source}; EN 12464-1 asks for 0.6 at bench work (from memory)",
        f"From {low} to {high}; minimum / maximum is {ratio:.2f}.",
        "" if fine else "Spread the light: more and weaker fixtures, or one nearer to the dark end.",
        f"{name}: even, {light.evenness:.2f}" if fine else f"{name}: uneven, {light.evenness:.2f}",
        (item.x, item.y) if item is not None else None,
        about,
        max(0.0, 1.0 - light.evenness / max(least, 1e-9)),
    )


def _step(field: Field, study: Study, wording: Wording) -> Iterator[Finding]:
    step = steepest_step(field, study.lighting.counted)
    if step is None:
        return
    fine = step.per_foot <= VISIBLE_STEP
    where = wording.spot(step.x, step.y)
    yield Finding(
        Severity.GOOD if fine else Severity.MIND,
        wording.combination,
        "Room",
        "steepest change of light over one foot",
        round(step.per_foot, 2),
        "share",
        f"at most {VISIBLE_STEP:g}",
        "common practice, no source",
        f"From {wording.light(step.low * wording.factor)} to {wording.light(step.high * wording.factor)}, {where}.",
        "" if fine else "Soften the edge: light from a second side, or move what throws it.",
        f"A step that the eye sees: {100.0 * step.per_foot:.0f} % in a foot"
        if not fine
        else "No step that the eye sees",
        (step.x, step.y),
        (),
        step.per_foot - VISIBLE_STEP,
    )


def _dark_stand(study: Study, field: Field, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    found = darkest_stand(study.lighting, stands(study.plan), shares)
    if found is None or field.room.average <= 0.0:
        return
    stand, lux = found
    share = lux / field.room.average
    fine = share >= DARK_STAND
    name = stand.item.name or stand.item.id
    yield Finding(
        Severity.GOOD if fine else Severity.MIND,
        wording.combination,
        name,
        "darkest place to stand (light on the work plane)",
        wording.number(lux * wording.factor),
        wording.light_unit,
        f"at least {wording.number(DARK_STAND * field.room.average * wording.factor):g}",
        "half the room's average (common practice, no source)",
        f"It has {100.0 * share:.0f} % of the room's average.",
        "" if fine else "Bring a fixture nearer, or move the work.",
        f"Darkest place to stand: at {name}, {wording.light(lux * wording.factor)}",
        (stand.x, stand.y),
        (stand.item.id,),
        1.0 - share,
    )


def _no_bench(wording: Wording) -> Finding:
    return Finding(
        Severity.MIND,
        wording.combination,
        "Room",
        "benches",
        0.0,
        "",
        "",
        "",
        "There is no bench on the plan.",
        "Put a bench on the plan: the light on its top is what counts most.",
        "No bench yet",
    )
