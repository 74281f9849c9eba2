"""The figures of a plan for every reported switch setting, as `summary.json` holds them.

Figures are those of new lamps unless their name says maintained; maintained ones are multiplied by the plan's
light loss factors. Watts at a dimmed level are counted in proportion to the light, which flatters a dimmer a
little.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from core.light.field import Figures, Lighting
from core.plan import Plan
from core.report.combinations import ReportedCombination
from core.shopping import bill_of_materials
from core.tables import figure
from core.units import LUX_PER_FC

__all__ = ["light_file_name", "summary"]

_DECIMALS = 6


def light_file_name(combination: ReportedCombination) -> str:
    """Return the name of the file with a setting's light on the work plane."""
    return f"light-{combination.slug}.csv"


def summary(plan: Plan, lighting: Lighting, combinations: Sequence[ReportedCombination]) -> dict[str, Any]:
    """Return the content of `summary.json`."""
    return {
        "plan": plan.name,
        "units": {
            "system": plan.units,
            "length": "m",
            "fc": "foot-candle (lumen per square foot)",
            "lx": "lux",
            "lx_per_fc": LUX_PER_FC,
        },
        "invented": plan.invented,
        "work_plane_m": plan.work_plane,
        "wall_band_m": plan.targets.wall_band,
        "target_fc": figure(plan.targets.lux / LUX_PER_FC, _DECIMALS),
        "light_loss_factor": figure(plan.light_loss.factor, _DECIMALS),
        "combinations": [_of_combination(plan, lighting, combination) for combination in combinations],
        "energy_balance": _known(lighting.energy_balance),
        "shopping_total": float(bill_of_materials(plan).total),
    }


def _of_combination(plan: Plan, lighting: Lighting, combination: ReportedCombination) -> dict[str, Any]:
    field = lighting.field(combination.levels)
    names = {bench.id: bench.name for bench in plan.benches()}
    loss = plan.light_loss.factor
    return {
        "name": combination.name,
        "levels": dict(combination.levels),
        "lumens": figure(_sum(plan, combination.levels, "lumens"), 3),
        "watts": figure(_sum(plan, combination.levels, "watts"), 3),
        "room": _figures(field.room, loss),
        "benches": [{"name": names[key], **_figures(value, loss)} for key, value in field.benches.items()],
        "file": light_file_name(combination),
    }


def _figures(found: Figures, loss: float) -> dict[str, float]:
    return {
        "average_fc": figure(found.average / LUX_PER_FC, _DECIMALS),
        "minimum_fc": figure(found.minimum / LUX_PER_FC, _DECIMALS),
        "maximum_fc": figure(found.maximum / LUX_PER_FC, _DECIMALS),
        "evenness": figure(found.evenness, _DECIMALS),
        "average_lx": figure(found.average, _DECIMALS),
        "minimum_lx": figure(found.minimum, _DECIMALS),
        "maintained_average_fc": figure(found.average * loss / LUX_PER_FC, _DECIMALS),
        "maintained_average_lx": figure(found.average * loss, _DECIMALS),
    }


def _sum(plan: Plan, levels: Mapping[str, float], what: str) -> float:
    parts = (getattr(plan.setting(f), what) * levels.get(f.group, 0.0) for f in plan.fixtures)
    return math.fsum(parts)


def _known(value: float) -> float | None:
    return figure(value, _DECIMALS) if math.isfinite(value) else None
