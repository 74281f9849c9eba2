"""A layout: places that were chosen, what they are called, and how they do."""

from __future__ import annotations

from dataclasses import dataclass

from core.suggest.candidates import Places

__all__ = ["Layout"]


@dataclass(frozen=True)
class Layout:
    """Places with what they are called and the least share of the demands that they meet, by corrected quick light."""

    kind: str
    places: Places
    score: float

    @property
    def count(self) -> int:
        """How many fixtures there are."""
        return len(self.places)
