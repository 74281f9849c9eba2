"""Switches proposed for what hangs: the figures are those of a fresh solution, and no sharing out is more even."""

from __future__ import annotations

from itertools import combinations

import pytest

from core.light.engine import LightEngine
from core.plan.edits import hung
from core.suggest.switching import proposed_switches
from core.units import FOOT
from tests.core.suggest.rooms import PANEL, bare


@pytest.fixture(scope="module")
def engine():
    """Keeps the room of this module."""
    return LightEngine(step=0.3)


@pytest.fixture(scope="module")
def six():
    """Return six panels in two rows, the left three on A, the right three on B."""
    plan = bare(16.0, 12.0)
    for y in (3.5, 8.5):
        for x, group in ((3.0, "A"), (8.0, "A" if y < 5 else "B"), (13.0, "B")):
            plan, _ = hung(plan, PANEL, x * FOOT, y * FOOT, group=group)
    return plan


def least_even(lighting, groups):
    """Return the evenness of the least even switch, by the light of each one alone."""
    counted = lighting.responses[lighting.counted[lighting.inside]]
    found = []
    for letter in set(groups):
        light = sum(counted[:, k] for k, group in enumerate(groups) if group == letter)
        found.append(light.min() / light.mean())
    return min(found)


def test_switches_are_as_even_as_can_be(engine, six):
    made = proposed_switches(six, 2, engine)
    lighting = engine.solve(six)
    assert made.is_better
    assert made.before == pytest.approx(least_even(lighting, [f.group for f in six.fixtures]))
    assert made.after == pytest.approx(least_even(lighting, [f.group for f in made.plan.fixtures]))
    assert made.sizes == (("A", 3), ("B", 3))
    every = [["A" if k in chosen else "B" for k in range(6)] for chosen in combinations(range(6), 3)]
    assert made.after == pytest.approx(max(least_even(lighting, groups) for groups in every), rel=0.02)
    assert [(f.x, f.y) for f in made.plan.fixtures] == [(f.x, f.y) for f in six.fixtures]


def test_what_is_best_already_stays(engine, six):
    made = proposed_switches(six, 2, engine)
    again = proposed_switches(made.plan, 2, engine)
    assert not again.is_better
    assert again.plan is made.plan


def test_more_switches_are_made(engine, six):
    made = proposed_switches(six, 3, engine)
    assert made.sizes == (("A", 2), ("B", 2), ("C", 2))
    assert {group.letter for group in made.plan.groups} >= {"A", "B", "C"}
