"""Keeps a list of answers short: those that miss something of what was asked differ little within one kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from core.suggest.answer import Answer

__all__ = ["few_that_miss"]

_OF_EACH_KIND = 2


def few_that_miss(ordered: Iterable[Answer]) -> tuple[Answer, ...]:
    """Return answers, given best first, with at most two of each model and kind among those that miss something."""
    seen: Counter[tuple[str, str]] = Counter()
    kept = []
    for answer in ordered:
        if not answer.is_met:
            seen[answer.model.id, answer.kind] += 1
            if seen[answer.model.id, answer.kind] > _OF_EACH_KIND:
                continue
        kept.append(answer)
    return tuple(kept)
