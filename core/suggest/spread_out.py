"""Where nothing but an average is asked: layouts that spread it over the room.

The fewest fixtures that have an average hang in a heap, away from the walls. Nobody wants that, so that of as many
fixtures those are taken that light the darkest spots best, or nearly so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from core.suggest.aligned import Aligned
from core.suggest.free import FreePlaces
from core.suggest.layout import Layout
from core.suggest.search import Search

__all__ = ["spread_patterns", "spread_places"]

_NEARLY = 0.6
"""Share of the light at the darkest spots that a layout has at the least, beside the best one of as many fixtures."""
_NODES = 4
"""Into which part of the usual nodes each number of free places is looked for."""


def spread_patterns(search: Search, aligned: Aligned, counts: range) -> Iterator[Layout]:
    """Yield aligned patterns that meet the demands with the margin, fewest fixtures first, the most even ones first.

    Where none of those that are best in the dark has the average, the brightest ones that are nearly as even do.
    """
    dark = _in_the_dark(search)
    dark_rows = Aligned(dark)
    for count in counts:
        if search.is_stopped():
            return
        best = list(dark_rows.patterns(range(count, count + 1)))
        good = [layout for layout in best if _meets(search, layout)]
        if best and not good:
            least = _NEARLY * max(layout.score for layout in best)
            some = [(dark.score(layout.places), layout) for layout in aligned.patterns(range(count, count + 1))]
            good = [layout for score, layout in sorted(some, key=lambda one: -one[0]) if score >= least]
        for layout in good:
            yield replace(layout, score=search.score(layout.places))


def spread_places(search: Search, aligned: Aligned, at_least: int, at_most: int) -> tuple[Layout | None, bool]:
    """Return few places of the grid, spread out, that meet the demands with the margin; None where none were found.

    About as many are tried as rows take; the rows stand in where no free places were found. The second tells whether
    time was the reason to stop anywhere.
    """
    rows = next(spread_patterns(search, aligned, range(max(1, at_least), at_most + 1)), None)
    if rows is None:
        return None, False
    limits = search.request.limits
    free = FreePlaces(_in_the_dark(search, nodes=max(10, limits.nodes // _NODES)))
    limit_hit = False
    for count in range(max(1, at_least, rows.count - 1), min(at_most, rows.count + 1) + 1):
        layout, outcome = free.brightest(count)
        limit_hit |= outcome.limit_hit
        if layout is not None and _meets(search, layout):
            return replace(layout, score=search.score(layout.places)), limit_hit
        if search.is_stopped():
            break
    return replace(rows, kind="free"), limit_hit


def _in_the_dark(search: Search, nodes: int | None = None) -> Search:
    """Return a search that judges layouts by the darkest spots, as where only a number of fixtures is asked for."""
    limits = search.request.limits if nodes is None else replace(search.request.limits, nodes=nodes)
    request = replace(search.request, average=0.0, reduced_average=0.0, count=1, limits=limits)
    return Search(search.plan, search.model, request, search.responses, search.trust, search.cancelled)


def _meets(search: Search, layout: Layout) -> bool:
    return search.score(layout.places) >= 1.0 + search.trust.margin
