"""In which order each group's switches are wired: where its power enters, and where it leaves for the lights.

The three-wire cable between the switches of a group takes the order in which the least has to be laid. That leaves a
choice of ends, at the least which way round: the ends of all groups of a circuit are chosen together, so that the least
two-wire cable has to be laid for feeds and lights; where that is equal, so that the whole is shortest. A group with a
0-10 V pair beside its lights is fed at the end that is nearer to the panel. All of these are minima over choices that
do not depend on the fixtures, so that no kind of cable gets shorter with one more fixture on a daisy chain.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice, pairwise, permutations, product
from typing import NamedTuple

from core.wiring.places import Place

__all__ = ["Effort", "chosen_orders", "shortest_orders", "together"]

MOST_PERMUTED = 5
MOST_CHOICES = 512
_DECIMALS = 9  # lengths that differ by less than a nanometre are equal
Places = tuple[Place, ...]


class Effort(NamedTuple):
    """Cable that has to be laid, with its slack, and the length of all of it, what is there among it [m]."""

    to_lay: float
    length: float


def together(efforts: Iterable[Effort]) -> Effort:
    """Return the sum of efforts, rounded so that equal ones compare as equal."""
    known = list(efforts)
    return Effort(round(sum(e.to_lay for e in known), _DECIMALS), round(sum(e.length for e in known), _DECIMALS))


def shortest_orders(boxes: Sequence[Place], effort: Callable[[Place, Place], Effort]) -> tuple[Places, ...]:
    """Return the orders with the least effort from box to box, one for each pair of ends.

    More than `MOST_PERMUTED` boxes keep the order that they were placed in, or the reverse.
    """
    tried: list[Places] = list(permutations(boxes))
    if len(boxes) > MOST_PERMUTED:
        tried = [tuple(boxes), tuple(boxes)[::-1]]
    efforts = [together(effort(a, b) for a, b in pairwise(order)) for order in tried]
    best = [order for order, found in zip(tried, efforts, strict=True) if found == min(efforts)]
    return tuple({(order[0].id, order[-1].id): order for order in reversed(best)}.values())[::-1]


def chosen_orders(
    orders: Mapping[str, Sequence[Places]],
    feeds: Callable[[Sequence[Place]], Effort],
    lights: Callable[[str, Place], Effort],
) -> dict[str, Places]:
    """Return the order of each group with which feeds and lights take the least effort together.

    Parameters
    ----------
    orders
        What each group can choose from.
    feeds
        Effort of the feed to the places where power enters.
    lights
        Effort of a group's lights behind the place where it leaves.
    """
    letters = list(orders)

    def effort(choice: tuple[Places, ...]) -> Effort:
        entries = list({places[0].id: places[0] for places in choice}.values())
        behind = [lights(letter, places[-1]) for letter, places in zip(letters, choice, strict=True)]
        return together([feeds(entries), *behind])

    # Beyond the limit the first choices are tried: those in which the last groups vary.
    choices = islice(product(*(orders[letter] for letter in letters)), MOST_CHOICES)
    return dict(zip(letters, min(choices, key=lambda choice: effort(tuple(choice))), strict=True))
