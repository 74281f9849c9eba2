"""The JSON Schema of the plan file, made from the dataclasses, so that it cannot differ from them.

``python -m core.plan.schema`` prints it; the published copy is `resources/plan-schema.json`.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic import TypeAdapter

from core.plan.file import MARK
from core.plan.plan import VERSION, Plan

__all__ = ["plan_schema", "schema_text"]


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the whole file."""
    plan = TypeAdapter(Plan).json_schema()
    definitions = plan.pop("$defs")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Candlebench plan",
        "description": "Lengths in metres, angles in degrees counter-clockwise, light in lumens and lux.",
        "type": "object",
        "properties": {MARK: {"const": VERSION, "description": "Version of the file."}, "plan": plan},
        "required": [MARK, "plan"],
        "additionalProperties": False,
        "$defs": dict(sorted(definitions.items())),
    }


def schema_text() -> str:
    """Return the schema as the text that is published."""
    return json.dumps(plan_schema(), indent=1) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")
