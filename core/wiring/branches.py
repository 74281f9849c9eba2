"""How the fixtures of one group are joined to the switch that feeds them: what was there stays, the rest is added.

Fixtures that were there before ("existing") are taken to be joined among themselves, and to their switch if that was
there too. Cable to what is still to do begins at the switch or at any of them, wherever that is shortest. Things that
are done keep the order that was planned. A length of cable that the user says is there costs nothing, so it is used
where it can be. With this a fixture more never means less cable in a daisy chain (`core.wiring.orders`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from core.wiring.orders import Order, best_chain, best_tree
from core.wiring.places import Place

__all__ = ["Branch", "Joiner", "joined"]

_DECIMALS = 9  # nanometres are rounding: the same room entered another way round keeps its order
Step = tuple[Place, Place]
Cluster = tuple[Place, ...]
"""Places that are joined already; power may enter and leave at any of them."""


@dataclass(frozen=True, slots=True)
class Branch:
    """Cable from one feeding place on: ``steps`` from place to place, in the order in which power reaches them.

    ``orders`` tells how each part was found.
    """

    steps: tuple[Step, ...]
    orders: tuple[Order, ...]


@dataclass(frozen=True, slots=True)
class Joiner:
    """What decides how places are joined.

    ``distance`` gives the cable between two places [m]; ``is_old`` whether a place was there before; ``is_laid``
    whether the user says that the cable between two places is there. ``hasty`` as in `best_chain`.
    """

    distance: Callable[[Place, Place], float]
    is_old: Callable[[Place], bool]
    is_laid: Callable[[Place, Place], bool]
    is_chain: bool
    hasty: bool = False


def joined(root: Place, places: Sequence[Place], joiner: Joiner) -> Branch:
    """Return the cable from a root to all places."""
    old = tuple(place for place in places if joiner.is_old(place))
    singles: list[Cluster] = [(place,) for place in places if not joiner.is_old(place)]
    if joiner.is_old(root):
        clusters: list[Cluster] = [(root, *old), *singles]
    else:
        clusters = [(root,), *([old] if old else []), *singles]
    order = _order(clusters, joiner)
    orders = [order] if len(clusters) > 1 else []
    steps = list(_within(root, clusters[0], joiner, orders))
    for visit in order.visits:
        start, entry = _nearest(clusters[order.parents[visit - 1]], clusters[visit], joiner)
        steps += [(start, entry), *_within(entry, clusters[visit], joiner, orders)]
    return Branch(tuple(steps), tuple(orders))


def _within(entry: Place, cluster: Cluster, joiner: Joiner, orders: list[Order]) -> Iterator[Step]:
    """Yield the steps among places that are joined already, as they are taken to run; add how they were found."""
    rest = [place for place in cluster if place is not entry]
    if not rest:
        return
    nodes = [(entry,), *((place,) for place in rest)]
    order = _order(nodes, joiner)
    orders.append(order)
    for visit in order.visits:
        yield nodes[order.parents[visit - 1]][0], nodes[visit][0]


def _order(clusters: Sequence[Cluster], joiner: Joiner) -> Order:
    table = [[0.0] * len(clusters) for _ in clusters]
    for number, one in enumerate(clusters):
        for other in range(number):
            cost = round(_cost(joiner, *_nearest(one, clusters[other], joiner)), _DECIMALS)
            table[number][other] = table[other][number] = cost
    distances = tuple(tuple(row) for row in table)
    return best_chain(distances, joiner.hasty) if joiner.is_chain else best_tree(distances)


def _nearest(one: Cluster, other: Cluster, joiner: Joiner) -> Step:
    """Return the place of each that is nearest to the other."""
    if len(one) == len(other) == 1:
        return one[0], other[0]
    pairs = [(a, b) for a in one for b in other]
    return pairs[min(range(len(pairs)), key=lambda n: (round(_cost(joiner, *pairs[n]), _DECIMALS), n))]


def _cost(joiner: Joiner, a: Place, b: Place) -> float:
    return 0.0 if joiner.is_laid(a, b) else joiner.distance(a, b)
