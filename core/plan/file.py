"""The plan file: one self-contained JSON file that holds the whole plan.

    {"candlebench": 1, "plan": {"name": "Shop", "room": {...}, "furniture": [...], "models": [...], ...}}

The number is the version of the file. The plan's fields are those of `core.plan.Plan` and of what it holds,
under the same names; lengths in metres, angles in degrees, light in lumens and lux.
`resources/plan-schema.json` is the published JSON Schema. What is read is checked by pydantic against the
same dataclasses, then for what no schema can say (`core.plan.whole`); what is wrong comes back as one line
that names the field, and nothing else is ever raised. Writing is atomic: whatever happens, the file holds the
old plan or the new one.
"""

from __future__ import annotations

import dataclasses
import json
import re
import stat
from functools import lru_cache
from os import PathLike
from pathlib import Path
from typing import Any, NoReturn

from pydantic import TypeAdapter, ValidationError

from core.plan.bounds import what_is_too_much
from core.plan.migrate import migrate
from core.plan.plan import VERSION, Plan
from core.plan.safe_write import write_safely, writing_trouble
from core.plan.trouble import PlanFileError, first_trouble
from core.plan.whole import what_is_not_whole

__all__ = ["MARK", "MOST_BYTES", "PlanFileError", "load_plan", "plan_from_text", "plan_to_text", "save_plan"]

MARK = "candlebench"
"""The key that tells a plan file from any other JSON; its value is the version."""
MOST_BYTES = 50_000_000
_NUMBER_LIST = re.compile(r"\[\s+(?:-?[\d.eE+-]+,?\s+)+\]")


def load_plan(path: str | PathLike[str]) -> Plan:
    """Read a plan file.

    Raises
    ------
    PlanFileError
        If it cannot be read or is no plan; one line that begins with the file's name and says what is wrong.
    """
    path = Path(path)
    try:
        return plan_from_text(_read(path))
    except PlanFileError as error:
        raise PlanFileError(f"{path.name or path}: {error}") from error


def save_plan(plan: Plan, path: str | PathLike[str]) -> None:
    """Write a plan file atomically; the old file stays until the new one is complete and on the disk.

    Raises
    ------
    PlanFileError
        If the plan holds something that could not be read again, or the file cannot be written; one line that
        says why and what to do. An old file is then as it was.
    """
    path = Path(path)
    data = plan_to_text(plan).encode("utf-8", errors="replace")
    try:
        plan_from_text(data)
    except PlanFileError as error:
        reason = f"{path.name}: not saved, because it could not be opened again: {error}"
        raise PlanFileError(reason) from error
    try:
        write_safely(path, data)
    except (OSError, ValueError) as error:
        raise PlanFileError(writing_trouble(path, error)) from error


def plan_to_text(plan: Plan) -> str:
    """Return a plan as the text of its file; the same plan always gives the same text."""
    data = {MARK: VERSION, "plan": dataclasses.asdict(plan)}
    text = json.dumps(data, ensure_ascii=False, indent=1)
    # Numbers of one list (a corner, a candela row) on one line; a string never holds a line break of its own.
    return _NUMBER_LIST.sub(lambda found: " ".join(found[0].split()).replace("[ ", "[").replace(" ]", "]"), text) + "\n"


def plan_from_text(text: str | bytes) -> Plan:
    """Return the plan that a file's text holds.

    Raises
    ------
    PlanFileError
        If the text is no plan; one line that names the field.
    """
    if len(text) > MOST_BYTES:
        raise PlanFileError(_too_large())
    envelope = _envelope(_parsed(text))
    excess = what_is_too_much(envelope["plan"])
    if excess is not None:
        raise PlanFileError(excess)
    data = migrate(envelope)
    try:
        plan = _adapter().validate_json(json.dumps(data), strict=True)
    except ValidationError as error:
        raise PlanFileError(first_trouble(error, data)) from error
    trouble = what_is_not_whole(plan)
    if trouble is not None:
        raise PlanFileError(trouble)
    return plan


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[Plan]:
    return TypeAdapter(Plan)


def _read(path: Path) -> bytes:
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise PlanFileError("this is not a file that holds a plan.")
        if status.st_size > MOST_BYTES:
            raise PlanFileError(_too_large())
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise PlanFileError("there is no such file.") from error
    except PermissionError as error:
        reason = "you may not read this file; ask its owner, or copy it to a folder of yours."
        raise PlanFileError(reason) from error
    except (OSError, ValueError) as error:
        reason = f"the file cannot be read ({getattr(error, 'strerror', None) or error})."
        raise PlanFileError(reason) from error


def _too_large() -> str:
    return f"the file is larger than {MOST_BYTES // 1_000_000} MB; no plan is that large."


def _parsed(text: str | bytes) -> object:
    """Read JSON, and tell apart what is not text, not JSON, and JSON that breaks off."""
    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8-sig")
        parsed: object = json.loads(text, parse_constant=_refuse_constant)
    except UnicodeDecodeError as error:
        raise PlanFileError("this is not a Candlebench plan (it is not a text file).") from error
    except json.JSONDecodeError as error:
        raise PlanFileError(_broken(str(text), error)) from error
    except RecursionError as error:
        raise PlanFileError("this is not a Candlebench plan (its lists are nested too deep).") from error
    except ValueError as error:
        raise PlanFileError("the file holds a number with thousands of digits.") from error
    return parsed


def _broken(text: str, error: json.JSONDecodeError) -> str:
    where = f"line {error.lineno}, column {error.colno} ({error.msg.lower()})"
    if f'"{MARK}"' not in text[:1000]:
        looks_like_one = text.lstrip().startswith("{")
        return f"this is not a Candlebench plan{f', or it is damaged in {where}' if looks_like_one else ''}."
    if error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated"):
        return f"the file breaks off in line {error.lineno}; its end is missing. Open a copy or the autosave."
    return f"the file is damaged in {where}."


def _refuse_constant(name: str) -> NoReturn:
    raise PlanFileError(f"the file holds {name}, which is not a number.")


def _envelope(data: object) -> dict[str, Any]:
    """Check that the file is ours and of a version that we know."""
    if not isinstance(data, dict) or MARK not in data:
        raise PlanFileError("this is not a Candlebench plan.")
    version = data[MARK]
    if type(version) is not int or version < 1:
        raise PlanFileError(f"{MARK}: the version of the file should be a whole number from 1 up.")
    if version > VERSION:
        raise PlanFileError(
            f"this plan was made by a newer Candlebench (file version {version}; this one reads up to"
            f" {VERSION}). Install the newer program to open it."
        )
    if not isinstance(data.get("plan"), dict):
        raise PlanFileError("plan is missing." if "plan" not in data else "plan should hold named fields.")
    others = [key for key in data if key not in (MARK, "plan")]
    if others:
        raise PlanFileError(f"{others[0][:40]!r} is not known to this version of Candlebench.")
    return data
