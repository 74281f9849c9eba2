"""The user's own fixtures, kept between plans in the user's data folder.

A plan is self-contained: an entry that hangs in it is stored in the plan too. Here lie those that the shelf
offers in every plan.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from pydantic import TypeAdapter, ValidationError
from PySide6.QtCore import QSaveFile, QStandardPaths

from core.plan import Model

__all__ = ["OwnCatalogueError", "add_own", "free_id", "own_models", "own_path"]


class OwnCatalogueError(Exception):
    """The file with the user's entries cannot be read or written; the text is for the user."""


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[tuple[Model, ...]]:
    return TypeAdapter(tuple[Model, ...])


def own_path() -> Path:
    """Return where the user's own entries are kept."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    return Path(folder) / "own-fixtures.json"


def own_models() -> tuple[Model, ...]:
    """Return the user's own entries; none where there is no file yet.

    Raises
    ------
    OwnCatalogueError
        If the file is there and cannot be used; it is left as it is.
    """
    path = own_path()
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return ()
    except OSError as problem:
        raise OwnCatalogueError(f"Your own fixtures in {path} cannot be read: {problem.strerror}.") from problem
    try:
        return _adapter().validate_json(data)
    except ValidationError as problem:
        first = problem.errors()[0]
        where = " > ".join(str(part) for part in first["loc"])
        raise OwnCatalogueError(
            f"Your own fixtures in {path} cannot be used ({where}: {first['msg']}). "
            "They are left as they are; correct or remove that file."
        ) from problem


def add_own(model: Model) -> None:
    """Keep an entry, in place of the one with its id; raises OwnCatalogueError where that cannot be."""
    others = [known for known in own_models() if known.id != model.id]
    text = json.dumps(_adapter().dump_python((*others, model), mode="json"), indent=1, ensure_ascii=False)
    path = own_path()
    path.parent.mkdir(parents=True, exist_ok=True)
    file = QSaveFile(str(path))
    if not file.open(QSaveFile.OpenModeFlag.WriteOnly) or file.write(text.encode("utf-8")) < 0 or not file.commit():
        raise OwnCatalogueError(f"Your own fixtures cannot be saved in {path}: {file.errorString()}.")


def free_id(model: Model, taken: Iterable[str]) -> Model:
    """Return the entry with an id of its own, made from its name."""
    stem = "own-" + ("".join(c if c.isalnum() else "-" for c in model.name.lower()).strip("-") or "fixture")
    used, number, identity = set(taken), 1, stem
    while identity in used:
        number += 1
        identity = f"{stem}-{number}"
    return replace(model, id=identity)
