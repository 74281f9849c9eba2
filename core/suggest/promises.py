"""What a layout promises, and whether its full solution keeps what was asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from core.light.field import Lighting
from core.plan import Fixture, Plan
from core.suggest.answer import LightFigures
from core.suggest.layout import Layout
from core.suggest.request import Request
from core.suggest.search import Search

__all__ = ["meets", "promised", "with_asked"]


def promised(search: Search, layout: Layout, on: Sequence[Fixture] = (), share: float = 1.0) -> LightFigures:
    """Return the figures of a layout by corrected quick light, less the margin, times a share.

    ``on`` are the fixtures that burn in the reduced combination.
    """
    readings, trust = search.responses.readings, search.trust
    light = search.expected(layout.places) * (1.0 - trust.margin) * share
    room = light[readings.room]
    average = float(light[readings.average].mean()) * trust.average_factor if readings.average.any() else 0.0
    minimum = float(room.min()) if room.size else 0.0
    benches = tuple(
        (bench, float(light[readings.bench == k].mean()) * 0.99, float(light[readings.bench == k].min()) * 0.98)
        for k, bench in enumerate(readings.benches)
        if (readings.bench == k).any()
    )
    even = minimum / average * (1.0 - trust.margin) * share if average > 0.0 else 0.0
    return LightFigures(average, minimum, even, benches, _reduced(search, on, share) if on else None)


def _reduced(search: Search, on: Sequence[Fixture], share: float) -> float:
    readings, trust = search.responses.readings, search.trust
    if not readings.average.any():
        return 0.0
    light = search.responses.of(on, search.model).sum(axis=1) * trust.correction
    return float(light[readings.average].mean()) * trust.average_factor * (1.0 - trust.margin) * share


def with_asked(request: Request, out: set[str], said: LightFigures) -> LightFigures:
    """Promise what was asked for as well, but for the requirements in ``out``: no layout that misses it is offered."""
    reduced = said.reduced
    if reduced is not None and "reduced average" not in out:
        reduced = max(reduced, request.reduced_average)
    return replace(
        said,
        reduced=reduced,
        average=said.average if "average" in out else max(said.average, request.average),
        minimum=said.minimum if "minimum" in out else max(said.minimum, request.minimum),
        evenness=said.evenness if "evenness" in out else max(said.evenness, request.evenness),
    )


def meets(
    plan: Plan, request: Request, search: Search, lighting: Lighting, figures: LightFigures, out: set[str]
) -> bool:
    """Tell whether a full solution meets a request, as far as it can be met at all: ``out`` cannot.

    The minimum still has to hold everywhere but at the spots that were given up.
    """
    checks = [figures.average >= search.request.average]
    if request.reduced_average:
        checks.append((figures.reduced or 0.0) >= search.request.reduced_average)
    if request.minimum:
        light = lighting.responses.sum(axis=1)[search.insisted_on(lighting)]
        checks.append(bool(np.all(light >= search.request.minimum)))
    if request.evenness and "evenness" not in out:
        checks.append(figures.evenness >= request.evenness)
    benches = {bench.id: bench for bench in plan.benches()}
    for identity, average, minimum in figures.benches:
        if request.benches and "bench average" not in out:
            checks.append(average >= (benches[identity].target_lux or plan.targets.lux))
        if request.bench_minimum and "bench minimum" not in out:
            checks.append(minimum >= request.bench_minimum)
    return all(checks)
