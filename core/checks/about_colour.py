"""Findings about colour: two colours that meet on one bench, and each fixture's colour rendering."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from core.checks.colour import mixed
from core.checks.finding import Finding, Severity, Wording
from core.checks.study import Study
from core.light.grid import FloatArray

__all__ = ["colour_findings"]

PART = 0.1
"""A colour counts on a bench with this share of its light (common practice, no source)."""


def colour_findings(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    """Yield what there is to say about colour at one setting (fixtures,)."""
    for bench in study.lighting.benches:
        if len(bench.points):
            yield from _on_bench(study, bench.bench, bench.responses.mean(axis=0) * shares, wording)
    yield from _rendering(study, shares, wording)


def _on_bench(study: Study, bench: str, lux: FloatArray, wording: Wording) -> Iterator[Finding]:
    item, whole = study.plan.piece(bench), float(lux.sum())
    if whole <= 0.0:
        return
    amounts: dict[int, float] = {}
    for fixture, amount in zip(study.plan.fixtures, lux, strict=True):
        amounts[fixture.colour] = amounts.get(fixture.colour, 0.0) + float(amount)
    colours = sorted(kelvin for kelvin, amount in amounts.items() if amount >= PART * whole)
    mix = mixed([(amount, kelvin) for kelvin, amount in amounts.items()])
    if mix is None:
        return
    meet = len(colours) > 1
    name = item.name or item.id
    parts = " and ".join(f"{kelvin:,} K ({100.0 * amounts[kelvin] / whole:.0f} %)" for kelvin in colours)
    yield Finding(
        Severity.MIND if meet else Severity.GOOD,
        wording.combination,
        name,
        "colour temperature of the light on its top (tristimulus mix)",
        round(mix.cct, -1),
        "K",
        "one colour" if meet else "",
        "common practice, no source" if meet else "",
        f"{parts} meet here; mixed {mix.cct:,.0f} K, Duv {mix.duv:+.4f}. "
        "The CRI of a mix is not known from data sheets."
        if meet
        else f"Duv {mix.duv:+.4f}, if the lamps lie on the Planckian locus at their nominal colour.",
        "Set all fixtures that light this bench to one colour." if meet else "",
        f"{name}: two colours meet, {' and '.join(f'{k:,} K' for k in colours)}"
        if meet
        else f"{name}: one colour, {mix.cct:,.0f} K",
        (item.x, item.y),
        (item.id,),
        0.15 if meet else 0.0,
    )


def _rendering(study: Study, shares: FloatArray, wording: Wording) -> Iterator[Finding]:
    target = study.plan.checking.cri
    lit = [fixture for fixture, share in zip(study.plan.fixtures, shares, strict=True) if share > 0.0]
    models = {fixture.model: study.plan.model(fixture.model) for fixture in lit}
    below = [model for model in models.values() if model.cri < target]
    for model in below:
        ids = tuple(fixture.id for fixture in lit if fixture.model == model.id)
        yield _cri(model.name, model.cri, target, ids, wording, fine=False)
    if models and not below:
        yield _cri(
            "All fixtures that are on", min(model.cri for model in models.values()), target, (), wording, fine=True
        )


def _cri(name: str, cri: int, target: int, ids: tuple[str, ...], wording: Wording, fine: bool) -> Finding:
    return Finding(
        Severity.GOOD if fine else Severity.MIND,
        wording.combination,
        name,
        "colour rendering (CRI from the data sheet)",
        float(cri),
        "CRI",
        f"at least {target}",
        "your target; 80 in general, 90 for colour matching (common practice, no source)",
        "" if fine else "Colours of wood and finish look off under it.",
        "" if fine else f"Choose a fixture with CRI {target} or more where colour matters.",
        f"{name}: CRI {cri}" + ("" if fine else ", below your target"),
        None,
        ids,
        float(np.clip((target - cri) / 50.0, 0.0, 1.0)),
    )
