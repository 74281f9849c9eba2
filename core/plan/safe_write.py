"""Writing a file so that it is never half there: a new one beside it, then put in its place at once."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
import time
from pathlib import Path

__all__ = ["SUFFIX", "write_safely", "writing_trouble"]

SUFFIX = ".saving"
_STALE_SECONDS = 3600.0

_REASONS = {
    errno.ENOSPC: "the disk is full. Make room, or save it on another disk",
    errno.EDQUOT: "your share of the disk is used up. Make room, or save it on another disk",
    errno.EACCES: "you may not write there. Save it in a folder of yours",
    errno.EPERM: "you may not write there. Save it in a folder of yours",
    errno.EROFS: "the disk is read-only. Save it somewhere else",
    errno.ENOENT: "the folder does not exist (any more). Save it somewhere else",
    errno.ENOTDIR: "the folder does not exist (any more). Save it somewhere else",
    errno.EISDIR: "there is a folder of that name. Choose another name",
    errno.ENAMETOOLONG: "the name is too long. Choose a shorter one",
    errno.EFBIG: "the disk takes no file as large as this one. Save it on another disk",
}


def write_safely(path: Path, data: bytes) -> None:
    """Put a file in place of ``path`` in one step, after its data are on the disk.

    A link is followed, and permissions of an old file are kept.

    Raises
    ------
    OSError
        If it cannot be written; the old file, if any, is untouched.
    """
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(target))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(target))
    handle, name = tempfile.mkstemp(prefix=_prefix(target), suffix=SUFFIX, dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode(target))
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    _settle_folder(target.parent)
    _sweep(target)


def writing_trouble(path: Path, error: OSError | ValueError) -> str:
    """Return one line for the user: what could not be saved, why, and what to do."""
    number = error.errno if isinstance(error, OSError) else None
    reason = _REASONS.get(number or 0)
    if reason is None:
        said = error.strerror if isinstance(error, OSError) else str(error)
        reason = f"{said or 'the system gives no reason'}. Save it under another name"
    return f"{path.name} could not be saved: {reason}; nothing is lost while the plan is open."


def _prefix(target: Path) -> str:
    # A long name must not become too long by what is added here.
    return f".{target.name[:60]}."


def _mode(target: Path) -> int:
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _settle_folder(folder: Path) -> None:
    """Bring the folder's entry to the disk too, where the system allows it; the file is whole either way."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sweep(target: Path) -> None:
    """Remove what an earlier run left behind when it was killed while it saved this file."""
    before = time.time() - _STALE_SECONDS
    with contextlib.suppress(OSError):
        for left in target.parent.iterdir():
            ours = left.name.startswith(_prefix(target)) and left.name.endswith(SUFFIX)
            if ours and left.stat().st_mtime < before:
                left.unlink()
