"""Where nothing but an average is asked: layouts that spread it over the room.

The fewest fixtures that have an average hang in a heap, away from the walls. Nobody wants that, so that of as many
fixtures those are taken that light the darkest spots best.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from core.suggest.aligned import Aligned
from core.suggest.free import FreePlaces
from core.suggest.layout import Layout
from core.suggest.search import Search

__all__ = ["spread_patterns", "spread_places"]

_MORE = 4
"""Fixtures more than a heap takes that free places are looked for with."""


def spread_patterns(search: Search, counts: range) -> Iterator[Layout]:
    """Yield aligned patterns that meet the demands with the margin, fewest fixtures first, the most even ones first."""
    aligned = Aligned(_in_the_dark(search))
    for count in counts:
        if search.is_stopped():
            return
        yield from _that_meet(search, aligned.patterns(range(count, count + 1)))


def spread_places(search: Search, at_least: int, at_most: int) -> Layout | None:
    """Return few places of the grid, spread out, that meet the demands with the margin; None where none were found."""
    free = FreePlaces(_in_the_dark(search))
    for count in range(max(1, at_least), min(at_most, at_least + _MORE) + 1):
        layout, _ = free.brightest(count)
        if search.is_stopped():
            return None
        for found in _that_meet(search, [] if layout is None else [layout]):
            return found
    return None


def _in_the_dark(search: Search) -> Search:
    """Return a search that judges layouts by the darkest spots, as where only a number of fixtures is asked for."""
    request = replace(search.request, average=0.0, reduced_average=0.0, count=1)
    return Search(search.plan, search.model, request, search.responses, search.trust, search.cancelled)


def _that_meet(search: Search, layouts: Iterator[Layout] | list[Layout]) -> Iterator[Layout]:
    for layout in layouts:
        score = search.score(layout.places)
        if score >= 1.0 + search.trust.margin:
            yield replace(layout, score=score)
