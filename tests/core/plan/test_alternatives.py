"""Several layouts in one file: put aside, switched between, saved, and fitted to what the plan has become."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.plan import Furniture
from core.plan.alternatives import (
    MOST,
    AlternativeError,
    alternative_names,
    free_name,
    plan_of_alternative,
    renamed_layout,
    with_alternative_shown,
    with_copy_aside,
    without_alternative,
)
from core.plan.ceiling import AsBuilt
from core.plan.edits import added, hung, moved, removed
from core.plan.file import load_plan, plan_from_text, plan_to_text, save_plan
from tests.core.suggest.rooms import PANEL, bare


def two_layouts():
    plan, first = hung(bare(), PANEL, 1.0, 1.0)
    plan = with_copy_aside(plan, "Denser")
    plan, _ = hung(plan, PANEL, 2.5, 1.0)
    return plan, first


def test_switching_there_and_back_changes_nothing():
    plan, _ = two_layouts()
    assert plan.layout == "Denser"
    assert alternative_names(plan) == ("First layout",)
    other = with_alternative_shown(plan, "First layout")
    assert len(other.fixtures) == 1
    assert alternative_names(other) == ("Denser",)
    assert with_alternative_shown(other, "Denser") == plan


def test_the_file_holds_them_all(tmp_path):
    plan, _ = two_layouts()
    save_plan(plan, tmp_path / "shop.json")
    assert load_plan(tmp_path / "shop.json") == plan


def test_an_edit_of_one_leaves_the_other():
    plan, first = two_layouts()
    plan = moved(plan, [first], 0.5, 0.0)
    assert with_alternative_shown(plan, "First layout").fixtures[0].x == pytest.approx(1.0)


def test_what_was_cut_belongs_to_its_layout():
    plan, first = two_layouts()
    box = AsBuilt(first, 0, 1, 1.0, 1.0)
    plan = replace(plan, ceiling=replace(plan.ceiling, as_built=(box,)))
    other = with_alternative_shown(plan, "First layout")
    assert other.ceiling.as_built == ()
    assert with_alternative_shown(other, "Denser").ceiling.as_built == (box,)


def test_a_layout_is_fitted_to_what_the_plan_has_become():
    plan, _ = two_layouts()
    plan = removed(plan, [PANEL.id])
    assert plan_of_alternative(plan, "First layout").fixtures == ()
    assert plan_from_text(plan_to_text(plan)) == plan
    plan, _ = two_layouts()
    bench = replace(_bench(), id="fixture-9")
    plan = replace(
        plan, alternatives=(replace(plan.alternatives[0], fixtures=(replace(plan.fixtures[0], id="fixture-9"),)),)
    )
    other = with_alternative_shown(added(plan, bench), "First layout")
    assert other.fixtures[0].id != "fixture-9"
    assert plan_from_text(plan_to_text(other)) == other


def _bench():
    return Furniture("bench-1", "bench", "Bench", 1.0, 1.0, 1.0, 0.5, 0.9)


def test_names_are_given_once():
    plan, _ = two_layouts()
    for name in ("", "  ", "Denser", "First layout"):
        with pytest.raises(AlternativeError):
            with_copy_aside(plan, name)
    assert renamed_layout(plan, "Denser") is plan
    assert renamed_layout(plan, "Two panels").layout == "Two panels"
    assert without_alternative(plan, "First layout").alternatives == ()
    with pytest.raises(AlternativeError):
        with_alternative_shown(plan, "None such")


def test_a_free_name_is_one_that_no_layout_has():
    plan = bare()
    for wish, wanted in (("Layout", "Layout 2"), ("Rows", "Rows")):
        assert free_name(plan, wish) == wanted
        again = with_copy_aside(plan, wanted)
        assert free_name(again, wish) not in (again.layout, *alternative_names(again))


def test_a_file_holds_only_so_many():
    plan = bare()
    for _ in range(MOST):
        plan = with_copy_aside(plan, free_name(plan))
    assert plan_from_text(plan_to_text(plan)) == plan
    with pytest.raises(AlternativeError, match="remove one"):
        with_copy_aside(plan, free_name(plan))
