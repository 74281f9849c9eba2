"""Copies of unsaved work on the disk: where they are, whose they are, and which were left behind.

A copy lies hidden beside the plan's file, or in the program's data folder where the plan has no file or its folder
takes none. The first line says which file it belongs to and when it was written; the rest is an ordinary plan file.
Every running program has copies of its own, told apart by a token in the name and held by a lock (`QLockFile`, which
knows a dead process); so a copy whose lock can be had was left behind, and two programs never touch each other's.
"""

from __future__ import annotations

import contextlib
import json
import logging
import os
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QLockFile, QStandardPaths

from core.plan import Plan
from core.plan.file import MARK, MOST_BYTES, PlanFileError, plan_from_text, plan_to_text
from core.plan.safe_write import SUFFIX, write_safely

__all__ = ["ENDING", "Copy", "Work", "data_folder", "left_behind", "new_copy"]

ENDING = f".{MARK}-unsaved"
_HEAD = f"{MARK}_unsaved"
_LOCK = ".lock"
_LONGEST = 28  # characters of the file's name in the copy's; the first line has all of it

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Work:
    """What a copy holds."""

    plan: Plan
    file: Path | None  # the file it belongs to
    written: datetime  # UTC


class Copy:
    """One copy, held by this program until `leave` or `remove`."""

    def __init__(self, path: Path, lock: QLockFile) -> None:
        self.path = path
        self._lock = lock

    def write(self, plan: Plan, file: Path | None) -> None:
        """Put a plan on the disk in place of what was there, on any thread; OSError where that fails."""
        head = {_HEAD: 1, "file": None if file is None else str(file), "written": datetime.now(UTC).isoformat()}
        # What no text can hold is written as a question mark: better than no copy.
        text = json.dumps(head) + "\n" + plan_to_text(plan)
        write_safely(self.path, text.encode("utf-8", errors="replace"))

    def read(self) -> Work:
        """Return what is there.

        Raises
        ------
        PlanFileError
            If it cannot be read.
        """
        try:
            with self.path.open("rb") as file:
                head, body = json.loads(file.readline(10_000)), file.read(MOST_BYTES + 1)
            whose = None if head["file"] is None else Path(head["file"])
            written = datetime.fromisoformat(head["written"])
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise PlanFileError(f"{self.path.name}: the unsaved work cannot be read.") from error
        return Work(plan_from_text(body), whose, written)

    def remove(self) -> None:
        """Throw the copy away."""
        with contextlib.suppress(FileNotFoundError):
            self.path.unlink()
        self.leave()

    def leave(self) -> None:
        """Let go of the copy: it stays where it is, for whoever looks next."""
        _sweep(self.path)
        self._lock.unlock()


def data_folder() -> Path:
    """Return where copies without a place beside their file go."""
    kind = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(kind)) / "unsaved"


def new_copy(file: Path | None, beside: bool = True) -> Copy:
    """Return a copy that is not written yet, locked; ``beside`` wants it beside the file.

    Raises
    ------
    OSError
        If the folder takes no file.
    """
    folder = file.parent if file is not None and beside else data_folder()
    if folder == data_folder():
        folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{_beginning(file)}{secrets.token_hex(4)}{ENDING}"
    lock = _lock(path)
    if not lock.tryLock(0):
        raise OSError(f"{folder} takes no new file")
    return Copy(path, lock)


def left_behind(file: Path | None) -> list[Copy]:
    """Return the copies of a file (or of plans without one) that no running program holds, newest first.

    They are held by this program now: each has to be left or removed.
    """
    folders = [data_folder()] if file is None else [file.parent, data_folder()]
    found: list[tuple[datetime, Copy]] = []
    for copy in (copy for folder in folders for copy in _free(folder, file)):
        try:
            work = copy.read()
        except PlanFileError as problem:
            _log.warning("%s: %s", copy.path, problem)
            copy.leave()
            continue
        beside = file is not None and copy.path.parent == file.parent
        belongs = work.file is not None and work.file.name == file.name if beside and file else work.file == file
        if belongs:
            found.append((work.written, copy))
        else:
            copy.leave()
    return [copy for _, copy in sorted(found, key=lambda pair: pair[0], reverse=True)]


def _free(folder: Path, file: Path | None) -> Iterator[Copy]:
    """Lock and return what no running program holds; sweep away locks of programs that were killed."""
    start = _beginning(file)
    try:
        names = sorted(entry.name for entry in folder.iterdir() if entry.name.startswith(start))
    except OSError:
        return  # a folder that cannot be looked into holds nothing for us
    for name in names:
        if name.endswith(ENDING):
            lock = _lock(folder / name)
            if lock.tryLock(0):
                yield Copy(folder / name, lock)
        elif name.endswith(ENDING + _LOCK) and name.removesuffix(_LOCK) not in names:
            lock = _lock(folder / name.removesuffix(_LOCK))
            if lock.tryLock(0):
                _sweep(folder / name.removesuffix(_LOCK))
                lock.unlock()


def _beginning(file: Path | None) -> str:
    return "." if file is None else f".{file.name[:_LONGEST]}."


def _lock(path: Path) -> QLockFile:
    lock = QLockFile(str(path) + _LOCK)
    lock.setStaleLockTime(0)  # however old: only a dead process loses its lock
    return lock


def _sweep(path: Path) -> None:
    """Remove what was half written when a program was killed; only for the one who holds the lock."""
    with contextlib.suppress(OSError):
        for entry in path.parent.iterdir():
            if entry.name.startswith(f".{path.name}.") and entry.name.endswith(SUFFIX):
                os.unlink(entry)
