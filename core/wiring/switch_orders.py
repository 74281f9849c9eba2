"""In which order each group's switches are wired: where its power enters, and where it leaves for the lights.

The three-wire cable between the switches of a group takes the shortest order there is. That leaves a choice of ends, at
the least which way round: the ends of all groups of a circuit are chosen together, so that feeds and lights take the
least two-wire cable. Both are minima over choices that do not depend on the fixtures, so that neither kind of cable
gets shorter with one more fixture.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import islice, pairwise, permutations, product

from core.wiring.places import Place

__all__ = ["chosen_orders", "shortest_orders"]

MOST_PERMUTED = 5
MOST_CHOICES = 512
_EVEN = 1e-9  # lengths that differ by less are equal [m]
Places = tuple[Place, ...]
Distance = Callable[[Place, Place], float]


def shortest_orders(boxes: Sequence[Place], distance: Distance) -> tuple[Places, ...]:
    """Return the orders with the shortest way from box to box, one for each pair of ends.

    More than `MOST_PERMUTED` boxes keep the order that they were placed in, or the reverse.
    """
    tried: list[Places] = list(permutations(boxes))
    if len(boxes) > MOST_PERMUTED:
        tried = [tuple(boxes), tuple(boxes)[::-1]]
    lengths = [sum(distance(a, b) for a, b in pairwise(order)) for order in tried]
    best = [order for order, length in zip(tried, lengths, strict=True) if length <= min(lengths) + _EVEN]
    return tuple({(order[0].id, order[-1].id): order for order in reversed(best)}.values())[::-1]


def chosen_orders(
    orders: Mapping[str, Sequence[Places]],
    feeds: Callable[[Sequence[Place]], float],
    lights: Callable[[str, Place], float],
) -> dict[str, Places]:
    """Return the order of each group that makes feeds and lights shortest together.

    Parameters
    ----------
    orders
        What each group can choose from.
    feeds
        Length of the feed to the places where power enters [m].
    lights
        Length of a group's lights behind the place where it leaves [m].
    """
    letters = list(orders)

    def length(choice: tuple[Places, ...]) -> float:
        entries = list({places[0].id: places[0] for places in choice}.values())
        behind = sum(lights(letter, places[-1]) for letter, places in zip(letters, choice, strict=True))
        return round(feeds(entries) + behind, 9)

    # Beyond the limit the first choices are tried: those in which the last groups vary.
    choices = islice(product(*(orders[letter] for letter in letters)), MOST_CHOICES)
    return dict(zip(letters, min(choices, key=lambda choice: length(tuple(choice))), strict=True))
