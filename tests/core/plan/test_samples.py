"""Plan files of old open: one sample is kept of every set of fields that the program has written.

The letters say in which order. A is the first demo shop as it was first kept; later ones hold what was added by then; b
is made from c by leaving out what came between the two. When a field is added, the test of the newest sample fails:
then keep a new sample, made with that field, and leave these as they are.
"""

from __future__ import annotations

import dataclasses
import json
import typing
from pathlib import Path

import pytest

from core.plan import Plan
from core.plan import file as plan_file
from core.plan.file import load_plan, plan_from_text, plan_to_text
from core.plan.migrate import STEPS, migrate
from core.plan.plan import VERSION

SAMPLES = sorted((Path(__file__).parent / "samples").glob("v*.json"))
CAME_LATER = {
    "a": {"ceiling", "wiring", "buying", "checking"},
    "b": {"checking"},
    "c": set(),
    "d": set(),
    "e": set(),
    "f": set(),  # as e, and where a door's leaf goes
    "g": set(),  # as f, and which lamps a reading was taken under
}
SHEET = {"notes", "underlay"}
LAYOUTS = {"layout", "alternatives"}


def letter(path: Path) -> str:
    return path.stem.split("-")[1]


def test_there_is_one_sample_for_each_set_of_fields():
    assert [letter(path) for path in SAMPLES] == list(CAME_LATER)
    raws = [json.loads(path.read_text(encoding="utf-8"))["plan"] for path in SAMPLES]
    held = [written(load_plan(path), raw, {}) for path, raw in zip(SAMPLES, raws, strict=True)]
    sets = [frozenset((kind, name) for kind, names in each.items() for name in names) for each in held]
    assert len(set(sets)) == len(sets)


@pytest.mark.parametrize("path", SAMPLES, ids=letter)
def test_an_old_file_opens_whole_and_what_came_later_has_its_defaults(path):
    raw = json.loads(path.read_text(encoding="utf-8"))["plan"]
    plan = load_plan(path)
    fresh = Plan(plan.name, plan.room)
    for field in dataclasses.fields(Plan):
        if field.name not in raw:
            assert getattr(plan, field.name) == getattr(fresh, field.name)
    missing = {field.name for field in dataclasses.fields(Plan)} - set(raw)
    assert missing == CAME_LATER[letter(path)] | (LAYOUTS if letter(path) < "e" else set()) | (
        SHEET if letter(path) < "d" else set()
    )
    assert plan.name == raw["name"]
    assert [f.id for f in plan.fixtures] == [f["id"] for f in raw["fixtures"]]
    assert [(f.x, f.y, f.group) for f in plan.fixtures] == [(f["x"], f["y"], f["group"]) for f in raw["fixtures"]]
    assert [f.name for f in plan.furniture] == [f["name"] for f in raw["furniture"]]
    assert [list(corner) for corner in plan.room.outline] == raw["room"]["outline"]
    assert plan.light_loss.factor == pytest.approx(
        raw["light_loss"]["lumen_depreciation"] * raw["light_loss"]["dirt"], rel=1e-12
    )
    assert plan_from_text(plan_to_text(plan)) == plan


def fields_of(kind: object, seen: dict[str, set[str]]) -> dict[str, set[str]]:
    """Every dataclass that a plan can hold, by name, with its fields."""
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        if kind.__name__ in seen:
            return seen
        seen[kind.__name__] = {field.name for field in dataclasses.fields(kind)}
        for hint in typing.get_type_hints(kind).values():
            fields_of(hint, seen)
    for part in typing.get_args(kind):
        fields_of(part, seen)
    return seen


def written(value: object, raw: object, seen: dict[str, set[str]]) -> dict[str, set[str]]:
    """The same of what a loaded plan does hold, with the fields that its file names."""
    if dataclasses.is_dataclass(value) and isinstance(raw, dict):
        seen.setdefault(type(value).__name__, set()).update(raw)
        for name, part in raw.items():
            written(getattr(value, name), part, seen)
    elif isinstance(value, tuple) and isinstance(raw, list):
        for part, raw_part in zip(value, raw, strict=True):
            written(part, raw_part, seen)
    return seen


def test_the_newest_sample_holds_every_field():
    raw = json.loads(SAMPLES[-1].read_text(encoding="utf-8"))["plan"]
    assert written(load_plan(SAMPLES[-1]), raw, {}) == fields_of(Plan, {})


def test_every_version_has_its_step():
    assert set(STEPS) == set(range(1, VERSION))


def test_an_older_version_is_brought_up_step_by_step_when_it_is_opened(monkeypatch):
    """The chain at work on a real file, as if two fields had been called otherwise in versions 1 and 2."""

    def renamed_height(plan):
        room = dict(plan["room"])
        room["height"] = room.pop("ceiling_height")
        return {**plan, "room": room}

    def renamed_name(plan):
        return {**{k: v for k, v in plan.items() if k != "title"}, "name": plan["title"]}

    steps = {1: renamed_height, 2: renamed_name}
    monkeypatch.setattr(plan_file, "VERSION", 3)
    monkeypatch.setattr(plan_file, "migrate", lambda data: migrate(data, steps, newest=3))
    text = SAMPLES[0].read_text(encoding="utf-8")
    data = json.loads(text)
    height = data["plan"]["room"]["height"]
    old = json.loads(text)
    old["plan"]["title"] = old["plan"].pop("name")
    two = json.loads(json.dumps(old)) | {"candlebench": 2}
    old["plan"]["room"]["ceiling_height"] = old["plan"]["room"].pop("height")
    from_one, from_two = plan_from_text(json.dumps(old)), plan_from_text(json.dumps(two))
    assert from_one == from_two
    assert (from_one.room.height, from_one.name) == (height, data["plan"]["name"])
    with pytest.raises(plan_file.PlanFileError, match="newer Candlebench"):
        plan_from_text(json.dumps(data | {"candlebench": 4}))
