"""The example fixtures are such as are sold, marked as invented; the finishes are those of the published table."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from core.catalogue import blank_plan, catalogue, catalogue_model, finish_named, finishes
from core.plan import distribution_of
from core.plan.edits import hung
from core.plan.file import plan_from_text, plan_to_text

# A table of diffuse reflectances collected from publications; each row names its own source.
PUBLISHED = Path(__file__).parent / "data" / "reflectances.csv"


def test_all_kinds_are_there_and_all_are_examples():
    models = catalogue()
    assert 12 <= len(models) <= 16
    assert {m.kind for m in models} == {"strip", "wrap", "panel", "high bay", "downlight", "task lamp"}
    assert {m.lens for m in models if m.kind == "strip"} == {"frosted", "clear"}
    assert any(0 < m.upward_share < 1 for m in models)
    assert all(m.is_example and "placeholder" in m.note and m.price > 0 for m in models)
    assert len({m.id for m in models}) == len({m.name for m in models}) == len(models)


@pytest.mark.parametrize("model", catalogue(), ids=lambda m: m.id)
def test_an_entry_is_one_that_could_be_sold(model):
    for setting in model.settings:
        assert 110 <= setting.lumens / setting.watts <= 150
    assert list(model.settings) == sorted(model.settings, key=lambda s: s.watts)
    assert model.opening_length <= model.length
    assert model.opening_width <= model.width
    assert distribution_of(model).upward_share == pytest.approx(model.upward_share)
    assert (model.opening == "round") == (model.length == model.width and model.kind in ("high bay", "downlight")) or (
        model.kind == "task lamp"
    )


@pytest.mark.parametrize("model", catalogue(), ids=lambda m: m.id)
def test_every_entry_can_be_hung_and_saved(model):
    plan, one = hung(blank_plan("Shop"), model, 2.0, 2.0)
    assert plan.fixture(one).colour in model.colours
    assert 1.0 < plan.opening_height(plan.fixture(one)) < plan.room.height
    assert plan_from_text(plan_to_text(plan)) == plan


@pytest.mark.parametrize("model", catalogue(), ids=lambda m: m.id)
def test_every_entry_says_how_it_is_fed_and_held(model):
    feeding = model.feeding
    assert feeding is not None
    assert 0.4 < feeding.weight < 7.0
    for x, y in ((feeding.x, feeding.y), *feeding.screws):
        assert abs(x) <= model.length / 2
        assert abs(y) <= model.width / 2
    kinds = {"bench": "plug and cord", "recessed": "cut-out", "suspended": "hook and box"}
    held_by_screws = feeding.kind not in ("plug and cord", "cut-out")
    assert feeding.kind == kinds.get(model.mounting, feeding.kind)
    assert bool(feeding.screws) == held_by_screws
    assert (feeding.hole > 0.0) == (feeding.kind == "cut-out")
    assert feeding.hole < model.length  # the rim covers the hole
    assert model.kind == "strip" or feeding.linked == 0


def test_finishes_are_those_of_the_published_table():
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(k.name, k.reflectance, k.mark) for k in finishes()] == [
        (row["material"], float(row["reflectance"]), row["mark"]) for row in rows
    ]
    for known, row in zip(finishes(), rows, strict=True):
        assert (known.source == "") == (known.mark == "from memory")
        if row["range"]:
            assert (known.low, known.high) == tuple(float(v) for v in row["range"].split("-"))
            assert known.low <= known.reflectance <= known.high


def test_a_finish_and_a_model_by_name():
    assert finish_named("red brick").reflectance == 0.2
    assert catalogue_model("strip-4-frosted").name == "4 ft strip, frosted"
    with pytest.raises(KeyError):
        finish_named("velvet")
    with pytest.raises(KeyError):
        catalogue_model("velvet")


def test_the_blank_plan_can_be_saved():
    plan = blank_plan("Mine")
    assert plan.name == "Mine"
    assert not plan.invented
    assert plan_from_text(plan_to_text(plan)) == plan
    assert replace(plan, name="Other") == blank_plan("Other")
