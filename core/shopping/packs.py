"""The cheapest mix of packs, and coils from which every length of cable can be cut.

`cheapest_mix` is exact: a knapsack over the quantity (dynamic programming), equal prices going to the smaller surplus
and then to fewer packs. Cable adds that a length cannot be made of two coils without a splice: mixes are tried from the
cheapest on until one is found from which all lengths can be cut (longest length first into the coil where it leaves
least). That cutting rule may miss a way to cut, so the coils may cost a little more than the very best, never less than
the lengths need.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

__all__ = ["Pack", "can_be_cut", "cheapest_coils", "cheapest_mix", "mixes_by_price"]

Mix = tuple[int, ...]
_MOST_TRIED = 5000
_MOST_UNITS = 20_000


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as sold: how many units are in it, and its price (None: not known)."""

    size: int
    price: Decimal | None


def cheapest_mix(quantity: int, packs: Sequence[Pack]) -> Mix:
    """Return how many of each pack to buy for at least ``quantity`` units at the least price.

    Packs without a price are left out as long as one has a price; where none has, the surplus is made smallest.

    Raises
    ------
    ValueError
        If there is no pack, or a pack is empty.

    Examples
    --------
    >>> cheapest_mix(260, [Pack(50, Decimal(38)), Pack(250, Decimal(128))])
    (1, 1)
    """
    if not packs or any(pack.size < 1 for pack in packs):
        raise ValueError("There must be a pack with something in it.")
    if quantity <= 0:
        return (0,) * len(packs)
    usable = _usable(packs)
    largest = max(pack.size for _, pack in usable)
    best_value = min(usable, key=lambda entry: (_price(entry[1]) / entry[1].size, -entry[1].size))
    # Far above every pack's size the pack of the best value makes up the bulk; the rest is worked out exactly.
    spare = max(largest * largest, _MOST_UNITS)
    bulk = max(0, (quantity - spare) // best_value[1].size)
    counts = [0] * len(packs)
    counts[best_value[0]] = bulk
    for index in _exact(quantity - bulk * best_value[1].size, usable):
        counts[index] += 1
    return tuple(counts)


def _usable(packs: Sequence[Pack]) -> list[tuple[int, Pack]]:
    priced = [(index, pack) for index, pack in enumerate(packs) if pack.price is not None]
    return priced or list(enumerate(packs))


def _price(pack: Pack) -> Decimal:
    return Decimal(0) if pack.price is None else pack.price


def _exact(quantity: int, usable: Sequence[tuple[int, Pack]]) -> list[int]:
    """Best (price, units, packs) that holds at least n units, for n from 0 up; returns the packs, one by one."""
    best: list[tuple[Decimal, int, int]] = [(Decimal(0), 0, 0)]
    taken: list[int] = [-1]
    for need in range(1, quantity + 1):
        options = []
        for position, (_, pack) in enumerate(usable):
            price, units, count = best[max(need - pack.size, 0)]
            options.append((price + _price(pack), units + pack.size, count + 1, position))
        *found, position = min(options)
        best.append((found[0], found[1], found[2]))  # type: ignore[arg-type]
        taken.append(position)
    chosen, left = [], quantity
    while left > 0:
        index, pack = usable[taken[left]]
        chosen.append(index)
        left -= pack.size
    return chosen


def mixes_by_price(quantity: int, packs: Sequence[Pack]) -> Iterator[Mix]:
    """Yield mixes that hold at least ``quantity`` units, the cheapest first.

    Best-first search; what is still missing is priced at the best price of a unit, which is never too high.
    """
    usable = _usable(packs)
    rate = min(_price(pack) / pack.size for _, pack in usable)

    def entry(price: Decimal, units: int, mix: Mix, first: int) -> tuple[Decimal, int, int, Mix, int, Decimal]:
        return price + rate * max(quantity - units, 0), units, sum(mix), mix, first, price

    queue = [entry(Decimal(0), 0, (0,) * len(usable), 0)]
    while queue:
        _, units, _, mix, first, price = heapq.heappop(queue)
        if units >= quantity:
            full = [0] * len(packs)
            for (index, _), number in zip(usable, mix, strict=True):
                full[index] = number
            yield tuple(full)
            continue
        for position in range(first, len(usable)):
            pack = usable[position][1]
            more = (*mix[:position], mix[position] + 1, *mix[position + 1 :])
            heapq.heappush(queue, entry(price + _price(pack), units + pack.size, more, position))


def can_be_cut(lengths: Sequence[float], coils: Sequence[float]) -> bool:
    """Whether lengths can be cut from coils by the rule: longest first, into the coil where it leaves least."""
    left = sorted(coils)
    for length in sorted(lengths, reverse=True):
        fits = [n for n, rest in enumerate(left) if rest >= length - 1e-9]
        if not fits:
            return False
        chosen = min(fits, key=lambda n: left[n])
        left[chosen] -= length
    return True


def cheapest_coils(lengths: Sequence[float], packs: Sequence[Pack]) -> Mix:
    """Return coils from which all lengths can be cut, the cheapest mix that is found to do it.

    A length beyond the largest coil has to be spliced on the way; it is taken in pieces of that coil.
    """
    if not lengths:
        return (0,) * len(packs)
    largest = max(pack.size for _, pack in _usable(packs))
    pieces = [piece for length in lengths for piece in _pieces(length, largest)]
    need = math.ceil(sum(pieces) - 1e-9)
    last: Mix = (0,) * len(packs)
    for tried, mix in enumerate(mixes_by_price(need, packs)):
        last = mix
        if can_be_cut(pieces, _coils(mix, packs)) or tried >= _MOST_TRIED:
            break
    while not can_be_cut(pieces, _coils(last, packs)):
        index = next(n for n, pack in enumerate(packs) if pack.size == largest)
        last = (*last[:index], last[index] + 1, *last[index + 1 :])
    return last


def _pieces(length: float, largest: int) -> list[float]:
    whole = int(length // largest)
    rest = length - whole * largest
    return [float(largest)] * whole + ([rest] if rest > 1e-9 else [])


def _coils(mix: Mix, packs: Sequence[Pack]) -> list[float]:
    return [float(pack.size) for pack, count in zip(packs, mix, strict=True) for _ in range(count)]
