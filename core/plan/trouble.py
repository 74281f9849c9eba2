"""What is wrong with a plan file, in one line that names the field the way a person finds it.

A list entry is named by its place and by what it is called: ``fixtures, number 3 (“4 ft strip”): setting is
missing``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

__all__ = ["PlanFileError", "entry", "first_trouble", "shown"]

_LONGEST = 40
_KINDS = {
    "float_type": "should be a number",
    "int_type": "should be a whole number",
    "int_from_float": "should be a whole number",
    "string_type": "should be text",
    "bool_type": "should be true or false",
    "finite_number": "should be a number that can be handled",
    "tuple_type": "should be a list",
    "list_type": "should be a list",
    "dataclass_type": "should hold named fields",
    "dataclass_exact_type": "should hold named fields",
}
_BOUNDS = {
    "greater_than": ("more than", "gt"),
    "greater_than_equal": ("at least", "ge"),
    "less_than": ("less than", "lt"),
    "less_than_equal": ("at most", "le"),
}


class PlanFileError(Exception):
    """A plan file that cannot be read or written; the text is one line for the user."""


def first_trouble(error: ValidationError, data: object) -> str:
    """Return the first of pydantic's findings as one line.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    data : object
        The plan's data, as JSON holds them, for the names of list entries.
    """
    found = error.errors(include_url=False)[0]
    if found["type"] == "json_invalid":
        reason = str(found.get("ctx", {}).get("error", "")).partition(" at line")[0]
        return f"the file cannot be understood ({reason})."
    return f"{_place(found['loc'], data)} {_complaint(found)}."


def entry(list_name: str, index: int, name: str) -> str:
    """Name one entry of a list, as ``fixtures, number 3 (“4 ft strip”)``."""
    called = f" (“{_short(name)}”)" if name else ""
    return f"{list_name}, number {index + 1}{called}"


def shown(value: object) -> str:
    """Return a value of a file in a few characters, on one line."""
    if isinstance(value, str):
        return f"“{_short(value)}”"
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "empty"}[value]
    if isinstance(value, int | float):
        try:
            return f"{value:.10g}"
        except OverflowError:
            return "a number with hundreds of digits"
    return "a list" if isinstance(value, list) else "a set of fields"


def _complaint(found: Any) -> str:
    kind, value, limits = found["type"], found["input"], found.get("ctx", {})
    if kind == "missing":
        return "is missing"
    if kind == "unexpected_keyword_argument":
        return "is not known to this version of Candlebench"
    if kind == "literal_error":
        return f"should be {limits['expected']}, but is {shown(value)}"
    if kind in _BOUNDS:
        words, key = _BOUNDS[kind]
        return f"should be {words} {limits[key]:g}, but is {shown(value)}"
    if kind in ("too_short", "too_long"):
        return _wrong_count(kind, limits)
    if kind in ("string_too_short", "string_too_long"):
        return f"should be one letter, but is {shown(value)}"
    if kind == "value_error":
        return f"cannot be used: {_short(str(limits['error']), 120)}"
    if kind in _KINDS:
        return f"{_KINDS[kind]}, but is {shown(value)}"
    return f"is not right ({_short(found['msg'], 120)})"


def _wrong_count(kind: str, limits: Any) -> str:
    wanted = limits["min_length"] if kind == "too_short" else limits["max_length"]
    bound = "least" if kind == "too_short" else "most"
    return f"should have at {bound} {wanted} entries, but has {limits['actual_length']}"


def _place(loc: Sequence[int | str], data: object) -> str:
    """Name a place in the data: the list entries on the way, a colon, the field."""
    parts: list[str] = []
    here = data
    for step in loc:
        there = _inside(here, step)
        if isinstance(step, int):
            parts[-1:] = [entry(parts[-1] if parts else "list", step, _called(there, data))]
        else:
            parts.append(_short(step))
        here = there
    if not parts or isinstance(loc[-1], int):
        return ", ".join(parts) or "the plan"
    before = ", ".join(parts[:-1])
    return f"{before}: {parts[-1]}" if before else parts[-1]


def _inside(data: object, step: int | str) -> object:
    if isinstance(data, dict):
        return data.get(step)
    if isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data):
        return data[step]
    return None


def _called(thing: object, data: object) -> str:
    """Return what a person calls a list entry: its own name, else its model's, its letter or its id."""
    if not isinstance(thing, dict):
        return ""
    own = thing.get("name") or thing.get("label")
    if isinstance(own, str) and own:
        return own
    models = data.get("models") if isinstance(data, dict) else None
    for model in models if isinstance(models, list) else []:
        if isinstance(model, dict) and "model" in thing and model.get("id") == thing["model"]:
            name = model.get("name")
            return name if isinstance(name, str) else ""
    other = thing.get("letter") or thing.get("id")
    return other if isinstance(other, str) else ""


def _short(text: str, longest: int = _LONGEST) -> str:
    line = " ".join("".join(c if c.isprintable() else " " for c in text[: 4 * longest]).split())
    return line if len(line) <= longest else line[: longest - 1] + "…"
