"""Packs against trying every mix, and coils against trying every way to cut."""

from __future__ import annotations

from decimal import Decimal
from itertools import islice, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.shopping import Pack, can_be_cut, cheapest_coils, cheapest_mix
from core.shopping.packs import mixes_by_price

PRICES = st.one_of(st.none(), st.integers(0, 900).map(lambda cents: Decimal(cents) / 100))
PACKS = st.lists(st.builds(Pack, st.integers(1, 12), PRICES), min_size=1, max_size=3)


def price(mix, packs):
    return sum((count * pack.price for count, pack in zip(mix, packs, strict=True) if count), Decimal(0))


def units(mix, packs):
    return sum(count * pack.size for count, pack in zip(mix, packs, strict=True))


@given(st.integers(0, 40), PACKS)
@settings(max_examples=150, deadline=None)
def test_no_mix_is_cheaper(quantity, packs):
    mix = cheapest_mix(quantity, packs)
    assert units(mix, packs) >= quantity
    usable = [n for n, pack in enumerate(packs) if pack.price is not None] or list(range(len(packs)))
    assert all(count == 0 for n, count in enumerate(mix) if n not in usable)
    priced = [Pack(p.size, p.price if p.price is not None else Decimal(0)) for p in packs]
    ranges = [range(quantity // pack.size + 2) if n in usable else range(1) for n, pack in enumerate(packs)]
    every = [m for m in product(*ranges) if units(m, packs) >= quantity]
    best = min((price(m, priced), units(m, packs)) for m in every)
    assert (price(mix, priced), units(mix, packs)) == best


def test_a_very_large_quantity_is_met_at_the_best_price():
    packs = [Pack(25, Decimal(21)), Pack(250, Decimal(124))]
    mix = cheapest_mix(1_000_000, packs)
    assert mix == (0, 4000)
    assert price(mix, packs) == 4000 * 124


@given(st.integers(1, 30), PACKS)
@settings(max_examples=60, deadline=None)
def test_mixes_come_the_cheapest_first(quantity, packs):
    packs = [pack for pack in packs if pack.price is not None] or [Pack(5, Decimal(2))]
    found = list(islice(mixes_by_price(quantity, packs), 6))
    assert [price(m, packs) for m in found] == sorted(price(m, packs) for m in found)
    assert price(found[0], packs) == price(cheapest_mix(quantity, packs), packs)
    assert all(units(m, packs) >= quantity for m in found)


def test_a_length_is_never_made_of_two_coils():
    packs = [Pack(25, Decimal(10)), Pack(100, Decimal(90))]
    assert cheapest_mix(60, packs) == (3, 0)
    assert cheapest_coils([60.0], packs) == (0, 1)
    assert cheapest_coils([20.0, 20.0, 20.0], packs) == (3, 0)


@given(st.lists(st.integers(1, 12), min_size=1, max_size=4), st.lists(st.integers(4, 14), min_size=1, max_size=3))
@settings(max_examples=150, deadline=None)
def test_the_cutting_rule_never_says_yes_wrongly(lengths, coils):
    ways = product(range(len(coils)), repeat=len(lengths))
    possible = any(
        all(sum(ln for ln, at in zip(lengths, way, strict=True) if at == n) <= coil for n, coil in enumerate(coils))
        for way in ways
    )
    assert possible or not can_be_cut(lengths, coils)
    if len(set(lengths)) == 1:
        assert can_be_cut(lengths, coils) == possible


@given(st.lists(st.floats(0.5, 120.0), min_size=1, max_size=12))
@settings(max_examples=60, deadline=None)
def test_coils_hold_every_length(lengths):
    packs = [Pack(25, Decimal(21)), Pack(50, Decimal(36)), Pack(100, Decimal(62)), Pack(250, Decimal(124))]
    mix = cheapest_coils(lengths, packs)
    assert can_be_cut(lengths, [pack.size for pack, count in zip(packs, mix, strict=True) for _ in range(count)])


def test_an_empty_pack_is_refused():
    with pytest.raises(ValueError, match="something in it"):
        cheapest_mix(3, [Pack(0, Decimal(1))])
    with pytest.raises(ValueError, match="something in it"):
        cheapest_mix(3, [])
