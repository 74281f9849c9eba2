"""The demo shops that come with the program: invented plans, read from the package wherever it is installed."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from core.plan import Plan
from core.plan.file import plan_from_text

__all__ = ["demo_names", "demo_plan"]


@lru_cache(maxsize=1)
def demo_names() -> tuple[str, ...]:
    """Return the demo shops' names, as their files are called without ``.json``, in order."""
    found = (entry.name for entry in files("demo_rooms").iterdir())
    return tuple(sorted(name.removesuffix(".json") for name in found if name.endswith(".json")))


@lru_cache(maxsize=8)
def demo_plan(name: str) -> Plan:
    """Return a demo shop by its name; KeyError if there is none."""
    if name not in demo_names():
        raise KeyError(name)
    return plan_from_text((files("demo_rooms") / f"{name}.json").read_bytes())
