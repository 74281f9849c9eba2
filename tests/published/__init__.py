"""Check values from published sources; `ORIGIN.md` says where each is from."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

__all__ = ["published"]


def published(name: str) -> Any:
    """Return the contents of one of the files, by its name without ending."""
    return json.loads((Path(__file__).parent / f"{name}.json").read_text(encoding="utf-8"))
