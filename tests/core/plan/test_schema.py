"""The published schema is that of the dataclasses."""

from __future__ import annotations

import json
from importlib.resources import files

from core.plan.schema import plan_schema

WORDS_ONLY = {"title", "description"}


def rules(schema):
    """The schema without its texts, which differ between versions of the library that makes them."""
    if isinstance(schema, dict):
        return {k: rules(v) for k, v in schema.items() if not (k in WORDS_ONLY and isinstance(v, str))}
    return [rules(v) for v in schema] if isinstance(schema, list) else schema


def test_the_published_schema_is_current():
    published = json.loads((files("resources") / "plan-schema.json").read_text(encoding="utf-8"))
    assert rules(published) == rules(plan_schema())


def test_the_schema_says_what_the_loader_asks_for():
    schema = plan_schema()
    assert schema["required"] == ["candlebench", "plan"]
    assert schema["properties"]["plan"]["required"] == ["name", "room"]
    assert schema["$defs"]["Fixture"]["required"] == ["id", "model", "x", "y"]
    assert schema["$defs"]["Fixture"]["additionalProperties"] is False
    assert schema["$defs"]["Finish"]["properties"]["reflectance"]["maximum"] == 0.95
