"""All on, each group alone, every kept one, all 2^n where n is at most 4; no name and no file name twice."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings

from core.demo import demo_names, demo_plan
from core.plan import Combination, Group, Level
from core.report import reported_combinations
from tests.core.plan.strategies import plans
from tests.core.plan.test_edits import PLAN


def with_groups(letters, *kept):
    groups = tuple(Group(letter, f"Switch {letter}") for letter in letters)
    return replace(PLAN, groups=groups, combinations=kept)


def names(plan):
    return [combination.name for combination in reported_combinations(plan)]


def test_two_groups_and_a_kept_one():
    plan = with_groups("AB", Combination("Sweep up", (Level("A", 0.3),)))
    assert [(c.name, c.levels, c.slug) for c in reported_combinations(plan)] == [
        ("All on", {"A": 1.0, "B": 1.0}, "all-on"),
        ("A alone", {"A": 1.0, "B": 0.0}, "a-alone"),
        ("B alone", {"A": 0.0, "B": 1.0}, "b-alone"),
        ("Sweep up", {"A": 0.3, "B": 0.0}, "sweep-up"),
        ("All off", {"A": 0.0, "B": 0.0}, "all-off"),
    ]


@pytest.mark.parametrize("letters", ["A", "AB", "ABC", "ABCD"])
def test_all_settings_of_up_to_four_groups_are_there_once(letters):
    found = [tuple(c.levels.values()) for c in reported_combinations(with_groups(letters))]
    assert sorted(found) == sorted(product((0.0, 1.0), repeat=len(letters)))


def test_five_groups_are_not_all_combined():
    assert names(with_groups("ABCDE")) == ["All on", *(f"{letter} alone" for letter in "ABCDE")]


def test_a_plan_without_groups_has_all_on():
    assert names(with_groups("")) == ["All on"]


def test_a_kept_one_keeps_its_levels_whatever_it_is_called():
    plan = with_groups("AB", Combination("All on", (Level("A", 0.5),)), Combination("", (Level("B", 0.5),)))
    by_name = {c.name: c.levels for c in reported_combinations(plan)}
    assert by_name["All on"] == {"A": 1.0, "B": 1.0}
    assert by_name["All on (2)"] == {"A": 0.5, "B": 0.0}
    assert by_name["Unnamed"] == {"A": 0.0, "B": 0.5}


def test_the_very_same_is_listed_once_and_a_name_wins_over_letters():
    kept = Combination("Fine work", (Level("A", 1.0), Level("C", 1.0)))
    plan = with_groups("ABC", kept, kept, Combination("All on", tuple(Level(g, 1.0) for g in "ABC")))
    assert names(plan).count("Fine work") == names(plan).count("All on") == 1
    assert "A and C" not in names(plan)


@given(plans())
@settings(max_examples=30)
def test_names_and_file_names_are_unique_and_every_kept_one_is_there(plan):
    reported = reported_combinations(plan)
    assert len({c.name for c in reported}) == len({c.slug for c in reported}) == len(reported)
    for kept in plan.combinations:
        wanted = {g.letter: kept.shares().get(g.letter, 0.0) for g in plan.groups}
        assert any(c.levels == wanted and c.name.startswith(kept.name) for c in reported)


@pytest.mark.parametrize("name", demo_names())
def test_the_demo_shops_report_their_own_names(name):
    plan = demo_plan(name)
    assert {kept.name for kept in plan.combinations} <= set(names(plan))
