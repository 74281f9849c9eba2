"""What a plan file held when it was last read or written here, so that a change by another program is noticed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

__all__ = ["Stamp", "stamp_of"]


@dataclass(frozen=True, slots=True)
class Stamp:
    """A file's content by its SHA-256, and when it was last written (UTC)."""

    digest: str
    written: datetime

    def same_as(self, other: Stamp) -> bool:
        """Whether the content is the same; a file that was only touched is."""
        return self.digest == other.digest


def stamp_of(path: Path) -> Stamp | None:
    """Return the stamp of a file; None where there is none that can be read."""
    try:
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
            written = path.stat().st_mtime
    except (OSError, ValueError):
        return None
    return Stamp(digest, datetime.fromtimestamp(written, UTC))
