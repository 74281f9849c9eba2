"""Fixture schedule and switch schedule."""

from __future__ import annotations

from collections import Counter

from app.prints.ceiling.order_page import weight_text
from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import CeilingSheet, feeding_of
from core.plan import Plan
from core.units import UnitSystem, show_length, show_lumens, show_watts

__all__ = ["schedule_pages"]

_MODELS = (
    Column("Model", 2.2, strong=True),
    Column("Pieces", 0.7, "right"),
    Column("Body (length x width x height)", 2.0),
    Column("Mounting", 1.1),
    Column("Feed", 1.6),
    Column("Weight", 0.8, "right"),
    Column("Note", 2.0),
)
_FIXTURES = (
    Column("Mark", 0.7, strong=True),
    Column("Fixture", 2.6),
    Column("Switch", 0.8, "centre"),
    Column("Power setting", 1.6, "right"),
    Column("Light", 1.1, "right"),
    Column("Colour", 0.9, "right"),
    Column("Underside above floor", 1.4, "right"),
    Column("Set", 0.6, "centre"),
)
_SWITCHES = (
    Column("Switch", 0.7, "centre", True),
    Column("Runs", 1.8),
    Column("Fixtures", 4.0),
    Column("Load", 1.0, "right"),
    Column("Dims", 1.4),
)


def schedule_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the pages of both schedules."""
    width = frame_of(paper).width
    plan = sheet.plan
    marks = {row.point.fixture.id: row.mark for row in sheet.rows}
    parts: list[Part] = [heading("Models", width)]
    parts += table(_MODELS, _models(plan, sheet.system), width)
    parts.append(heading("Fixtures: set power and colour before lifting", width))
    parts += table(_FIXTURES, _fixtures(plan, marks, sheet.system), width)
    parts.append(heading("Switches", width))
    parts += table(_SWITCHES, _switches(plan, marks), width)
    parts.append(
        paragraph("Load is at the power setting in force; circuits are planned for the highest setting.", width)
    )
    return flow("Fixture and switch schedule", parts, paper)


def _models(plan: Plan, system: UnitSystem) -> list[list[str]]:
    counts = Counter(fixture.model for fixture in plan.fixtures)
    rows = []
    for model in plan.models:
        if not counts[model.id]:
            continue
        feeding = feeding_of(model)
        body = " x ".join(show_length(d, system) for d in (model.length, model.width, model.body_height))
        notes = ["invented example"] if model.is_example else []
        if model.feeding is None:
            notes.append("feed, screws and weight assumed: check the data sheet")
        weight = weight_text(feeding.weight, system)
        rows.append([model.name, str(counts[model.id]), body, model.mounting, feeding.kind, weight, "; ".join(notes)])
    return rows


def _fixtures(plan: Plan, marks: dict[str, str], system: UnitSystem) -> list[list[str]]:
    rows = []
    order = sorted(plan.fixtures, key=lambda f: (f.group, f.id not in marks, _number(marks.get(f.id, "")), f.id))
    for fixture in order:
        model, setting = plan.model(fixture.model), plan.setting(fixture)
        power = show_watts(setting.watts)
        if len(model.settings) > 1:
            power += f" ({fixture.setting + 1} of {len(model.settings)})"
        rows.append(
            [
                marks.get(fixture.id, "bench"),
                fixture.name or model.name,
                fixture.group,
                power,
                show_lumens(setting.lumens),
                f"{fixture.colour} K",
                show_length(plan.opening_height(fixture), system, 8),
                "☐",
            ]
        )
    return rows


def _switches(plan: Plan, marks: dict[str, str]) -> list[list[str]]:
    rows = []
    for group in plan.groups:
        members = [fixture for fixture in plan.fixtures if fixture.group == group.letter]
        named = Counter(marks.get(f.id) or plan.model(f.model).name for f in members)
        texts = [name if count == 1 else f"{count} x {name}" for name, count in sorted(named.items(), key=_by_mark)]
        load = sum(plan.setting(fixture).watts for fixture in members)
        dims = f"yes, from {group.minimum:.0%}" if group.dimmable else "on and off"
        rows.append([group.letter, group.label, ", ".join(texts) or "nothing", show_watts(load), dims])
    return rows


def _number(mark: str) -> int:
    digits = "".join(c for c in mark if c.isdigit())
    return int(digits) if digits else 0


def _by_mark(item: tuple[str, int]) -> tuple[int, str]:
    return _number(item[0]), item[0]
