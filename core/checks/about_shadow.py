"""Findings about shadows at each bench and machine: the body's, with cause and remedy, and the hand's."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.body_shadow import BodyShadow, Losses, losses
from core.checks.finding import Finding, Severity, Wording
from core.checks.hand_shadow import HandShadow, hand_shadow
from core.checks.shadow_remedy import SLIGHT, TOLERATED, Culprit, Remedy, culprit, is_fine, remedy
from core.checks.standing import Stand, can_stand, has_top, stands
from core.checks.study import Study
from core.checks.targets import work_target
from core.light.grid import FloatArray

__all__ = ["shadow_findings"]

MUCH_OF_TOP = 0.10
WIDELY = 0.15
"""Where the worst spot passes the user's limit, these shares of the top are too much to lose 30 % and 20 % on (common
practice, no source)."""
HARD_SHARE = 0.5
SOFT_WIDTH = 0.0127
"""A penumbra narrower than 1/2 in reads as a hard edge (common practice, no source)."""
ONE_SIDED = 0.7
DIM = 0.1
"""Where a top has less than this share of the light that is wanted, its shadow is the lesser trouble (common practice,
no source)."""


def shadow_findings(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """Yield what there is to say about shadows at one setting (fixtures,)."""
    there = [shadow for shadow in study.shadows if can_stand(study.plan, shadow.stand)]
    for stand in stands(study.plan):
        if not can_stand(study.plan, stand):
            yield _no_place(stand, wording)
    for shadow in there:
        yield from _body(study, shadow, shares, wording)
    for shadow in there:
        here, hand = shadow.at_hands, study.plan.worker.hand
        straight, total = shadow.straight_before[here] * shares, shadow.before[here] * shares
        found = hand_shadow(shadow.stand, study.sources, straight, total, hand)
        if found is not None:
            yield _hand(shadow.stand, found, study, wording)


def _body(study: Study, shadow: BodyShadow, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    plan, item = study.plan, shadow.stand.item
    if float((shadow.before @ shares).sum()) <= 0.0:
        return
    found = losses(shadow, shares)
    fine = is_fine(found)
    limit = plan.checking.loss
    heavy = found.spot > limit or (found.worst > limit and (found.over[1] > MUCH_OF_TOP or found.over[0] > WIDELY))
    dim = float((shadow.before @ shares).mean()) < DIM * work_target(plan, item).value
    severity = Severity.GOOD if fine else Severity.ACT if heavy and not dim else Severity.MIND
    thrower = None if fine else culprit(shadow, study.sources, shares)
    cure = None if fine else remedy(plan, shadow, study.sources, shares)
    name = item.name or item.id
    yield Finding(
        severity,
        wording.combination,
        name,
        "body shadow at the worst point (light of the top that the worker's body takes)",
        round(100.0 * found.worst, 0),
        "%",
        f"at most {100.0 * TOLERATED:g}",
        f"common practice, no source; your limit at the hands is {100.0 * limit:g} %",
        _cause(found, thrower, shadow, dim and not fine, wording),
        "" if fine else _what_to_do(cure, thrower, shadow, wording),
        f"{name}: {_title(found)}",
        (float(found.worst_at[0]), float(found.worst_at[1])),
        (item.id,) if thrower is None else (item.id, plan.fixtures[thrower.fixture].id),
        found.spot + found.worst + (0.0 if dim else 1.0),
    )


def _no_place(stand: Stand, wording: Wording) -> Finding:
    name = stand.item.name or stand.item.id
    return Finding(
        Severity.MIND,
        wording.combination,
        name,
        "place to stand at the marked side",
        None,
        "",
        "",
        "",
        "Where the worker would stand is a wall, or another thing stands there.",
        "Mark another side, or make room. Shadows here are not judged until then.",
        f"{name}: no room to stand at the marked side",
        (stand.x, stand.y),
        (stand.item.id,),
        0.5,
    )


def _title(found: Losses) -> str:
    if is_fine(found):
        return "hardly any body shadow"
    if found.spot > SLIGHT:
        return f"your body shades {100.0 * found.spot:.0f} % of the light at your hands"
    return f"your body shades up to {100.0 * found.worst:.0f} % of the light beside your hands"


def _sizes(found: Losses) -> str:
    over = ", ".join(f"{100.0 * share:.0f} %" for share in found.over)
    return (
        f"Of the top {over} loses more than 20, 30 and 50 % of its light; worst {100.0 * found.worst:.0f} %, "
        f"average {100.0 * found.average:.0f} %, where the hands work {100.0 * found.spot:.0f} %."
    )


def _cause(found: Losses, thrower: Culprit | None, shadow: BodyShadow, dim: bool, wording: Wording) -> str:
    sentences = [
        _thrown_by(thrower, wording) if thrower is not None else "",
        _sizes(found),
        "There is hardly any light here at this setting anyway." if dim else "",
        "" if has_top(shadow.stand.item) else f"Read on its table, {wording.length(shadow.stand.hands[2])} up.",
    ]
    return " ".join(sentence for sentence in sentences if sentence)


def _thrown_by(thrower: Culprit, wording: Wording) -> str:
    where = thrower.where
    ahead, aside = wording.length(abs(where.ahead)), wording.length(abs(where.right))
    side = "right" if where.right > 0.0 else "left"
    if "above" in where.words:
        place = where.words
    elif where.words.startswith("to the"):
        place = f"{aside} {where.words}"
    else:
        place = f"{ahead} {where.words.removesuffix(f' and to the {side}')}"
        place += f" and {aside} to the {side}" if where.words.endswith(side) else ""
    return (
        f"{wording.fixture(thrower.fixture)} hangs {place} and throws {100.0 * thrower.share:.0f} % of the shadow "
        "at the hands."
    )


def _what_to_do(cure: Remedy | None, thrower: Culprit | None, shadow: BodyShadow, wording: Wording) -> str:
    item = shadow.stand.item
    kind = "bench" if item.kind == "bench" else "machine"
    beyond = f"a lamp at the far side of the {kind}, over {wording.spot(*shadow.stand.far_side)}"
    if cure is None:
        named = wording.fixture(thrower.fixture) if thrower is not None else "the fixtures"
        return f"No place farther towards the {kind} helps for {named}: add {beyond}, or light it from both sides."
    moves = "; ".join(
        f"move {wording.fixture(move.fixture)} {wording.length(move.distance)} towards and over the {kind}, its centre "
        f"{wording.spot(move.x, move.y)}"
        for move in cure.moves
    )
    after = f"the worst loss falls to {100.0 * cure.after.worst:.0f} %, at the hands to {100.0 * cure.after.spot:.0f} %"
    rest = "" if cure.enough else f"; what is left needs {beyond}"
    return f"{moves[0].upper()}{moves[1:]}: {after}{rest}."


def _hand(stand: Stand, found: HandShadow, study: Study, wording: Wording) -> Finding:
    name, hand = stand.item.name or stand.item.id, study.plan.worker.hand
    hard = found.share > HARD_SHARE and found.penumbra < SOFT_WIDTH
    one_sided = found.hand_side > ONE_SIDED and found.matter <= 3
    other = "left" if hand == "right" else "right"
    narrow, wide = (_edge(width, wording) for width in (found.penumbra, found.penumbra_wide))
    cause = (
        f"{wording.fixture(found.fixture)} gives {100.0 * found.share:.0f} % of the light at the hands; {found.matter} "
        f"{'fixtures matter' if found.matter != 1 else 'fixture matters'}. "
        f"An edge 4 in up has a penumbra of {narrow} to {wide}."
    )
    remedy = ""
    if one_sided:
        cause += f" {100.0 * found.hand_side:.0f} % of the direct light comes over the {hand} hand, which works."
        remedy = f"Bring light from the {other}, or move {wording.fixture(found.fixture)} to that side."
    elif hard:
        remedy = "Add a second fixture from another side, or a wider one in its place."
    if one_sided:
        title = f"{name}: light comes over your working hand"
    else:
        title = f"{name}: {'hard' if hard else 'soft'} hand shadow"
    return Finding(
        Severity.MIND if hard or one_sided else Severity.GOOD,
        wording.combination,
        name,
        "hand shadow (largest single fixture's share of the light at the hands)",
        round(100.0 * found.share, 0),
        "%",
        f"at most {100.0 * HARD_SHARE:g}" if found.penumbra < SOFT_WIDTH else "",
        "common practice, no source" if found.penumbra < SOFT_WIDTH else "",
        cause,
        remedy,
        title,
        (float(stand.hands[0]), float(stand.hands[1])),
        (stand.item.id, study.plan.fixtures[found.fixture].id),
        found.share,
    )


def _edge(width: float, wording: Wording) -> str:
    if wording.light_unit == "lx":
        return f"{1000.0 * width:.0f} mm"
    return f"{width / 0.0254:.1f} in"
