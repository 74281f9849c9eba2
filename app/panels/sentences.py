"""What the light at the present switch setting means for each bench and for the room, in sentences. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from core.light.field import Field, Figures, Lighting
from core.plan import Furniture, Plan
from core.units import UnitSystem, show_illuminance, show_ratio

__all__ = ["Sentence", "Weight", "sentences"]

_FAR_BELOW = 0.75  # of the target: worth acting on before anything else
_MUCH_MORE = 2.0  # times the target: more than needed
_ROUNDING = 0.995  # what is shown rounded as the target counts as the target


class Weight(IntEnum):
    """How much a sentence matters; the lowest comes first."""

    ACT = 0
    MIND = 1
    GOOD = 2


@dataclass(frozen=True, slots=True)
class Sentence:
    """One finding: how much it matters, what it says, what that rests on, and what it is about."""

    weight: Weight
    title: str
    detail: str
    about: tuple[str, ...] = ()
    share: float = 1.0  # of the target: the worst of equals comes first


def sentences(
    plan: Plan,
    lighting: Lighting | None,
    field: Field | None,
    levels: Mapping[str, float],
    units: UnitSystem,
    factor: float = 1.0,
) -> list[Sentence]:
    """Return the findings, most important first; ``factor`` turns initial into maintained light."""
    missing = _missing(plan, levels)
    if missing is not None:
        return [missing]
    if lighting is None or field is None:
        return []
    kind = "initial" if factor == 1.0 else "maintained"
    everything = lighting.field(dict.fromkeys(levels, 1.0))
    found = []
    for bench in plan.benches():
        figures = field.benches.get(bench.id)
        if figures is not None:
            full = everything.benches[bench.id].average * factor
            found += _bench(plan, bench, figures, full, levels, units, factor, kind)
    found += _room(plan, field.room, everything.room.average * factor, levels, units, factor, kind)
    if not plan.benches():
        found.append(
            Sentence(
                Weight.MIND,
                "No bench yet",
                "Drag one onto the plan: the light on its top is what counts most.",
            )
        )
    return sorted(found, key=lambda s: (s.weight, s.share))


def _missing(plan: Plan, levels: Mapping[str, float]) -> Sentence | None:
    if not plan.fixtures:
        return Sentence(
            Weight.ACT,
            "No fixture hangs here yet",
            "Drag one from the left onto the plan, or double-click it there.",
        )
    if not any(levels.get(fixture.group, 0.0) > 0.0 for fixture in plan.fixtures):
        return Sentence(Weight.MIND, "All switches are off", "Click a rocker below, or press its letter.")
    return None


def _bench(
    plan: Plan,
    bench: Furniture,
    figures: Figures,
    full: float,
    levels: Mapping[str, float],
    units: UnitSystem,
    factor: float,
    kind: str,
) -> list[Sentence]:
    target = bench.target_lux or plan.targets.lux
    average = figures.average * factor
    found = [_enough(bench.name, average, target, full, plan, levels, units, kind, (bench.id,))]
    if average > 0.0 and figures.evenness < plan.targets.evenness * _ROUNDING:
        low, high = figures.minimum * factor, figures.maximum * factor
        found.append(
            Sentence(
                Weight.MIND,
                f"{bench.name}: uneven, {show_ratio(figures.evenness)}",
                f"From {show_illuminance(low, units)} to {show_illuminance(high, units)} on its top; "
                f"wanted is {show_ratio(plan.targets.evenness)} or more. Spread the light along the bench.",
                (bench.id,),
                figures.evenness / max(plan.targets.evenness, 1e-9),
            )
        )
    return found


def _room(
    plan: Plan,
    figures: Figures,
    full: float,
    levels: Mapping[str, float],
    units: UnitSystem,
    factor: float,
    kind: str,
) -> list[Sentence]:
    average = figures.average * factor
    found = [_enough("Room", average, plan.targets.lux, full, plan, levels, units, kind, ())]
    if average > 0.0 and figures.evenness < plan.targets.evenness * _ROUNDING:
        found.append(
            Sentence(
                Weight.MIND,
                f"Room: uneven, {show_ratio(figures.evenness)}",
                f"The darkest point that counts has {show_illuminance(figures.minimum * factor, units)}; "
                f"wanted is {show_ratio(plan.targets.evenness)} of the average or more.",
                (),
                figures.evenness / max(plan.targets.evenness, 1e-9),
            )
        )
    return found


def _enough(
    name: str,
    average: float,
    target: float,
    full: float,
    plan: Plan,
    levels: Mapping[str, float],
    units: UnitSystem,
    kind: str,
    about: tuple[str, ...],
) -> Sentence:
    shown, wanted = show_illuminance(average, units), show_illuminance(target, units)
    share = average / target
    if share >= _ROUNDING:
        if share > _MUCH_MORE:
            return Sentence(
                Weight.MIND,
                f"{name}: {shown}, more than needed",
                f"{share:.1f} times the target of {wanted} ({kind}). Dim it, or do with less.",
                about,
                share,
            )
        return Sentence(Weight.GOOD, f"{name}: {shown}", f"Target {wanted}, {kind}.", about, share)
    weight = Weight.ACT if share < _FAR_BELOW else Weight.MIND
    return Sentence(
        weight,
        f"{name}: {shown}, too little",
        f"Target {wanted}, {kind}. {_way_out(plan, levels, full, target, units)}",
        about,
        share,
    )


def _way_out(plan: Plan, levels: Mapping[str, float], full: float, target: float, units: UnitSystem) -> str:
    used = {fixture.group for fixture in plan.fixtures}
    down = [group for group in plan.groups if group.letter in used and levels.get(group.letter, 0.0) < 1.0]
    if not down:
        return "Every switch is fully on: it needs more light, or light nearer to it."
    letters = [group.letter for group in down]
    named = letters[0] if len(letters) == 1 else ", ".join(letters[:-1]) + " and " + letters[-1]
    off = "is off or dimmed" if len(letters) == 1 else "are off or dimmed"
    enough = "" if full >= target * _ROUNDING else ", still too little"
    noun = "Switch" if len(letters) == 1 else "Switches"
    return f"{noun} {named} {off}; fully on: {show_illuminance(full, units)}{enough}."
