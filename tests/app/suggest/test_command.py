"""`candlebench suggest`: what it prints, and one line for what cannot be."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace

import pytest

from app.__main__ import main
from core.catalogue import catalogue
from core.light.engine import LightEngine
from core.plan import JoistZone
from core.plan.file import load_plan, save_plan
from core.suggest.answer import figures_of
from core.units import LUX_PER_FC
from tests.core.suggest.rooms import bare


@pytest.fixture
def plan_file(tmp_path):
    path = tmp_path / "room.json"
    save_plan(bare(16.0, 12.0), path)
    return path


def test_json_holds_what_was_promised(plan_file, tmp_path, capsys):
    saved = tmp_path / "with.json"
    words = ["suggest", str(plan_file), "--min-fc", "30", "--average-fc", "50", "--json", "--save", str(saved)]
    assert main(words) == 0
    shown = json.loads(capsys.readouterr().out)
    assert {"answers", "bound", "gap", "asked", "limit_hit", "seconds"} <= set(shown)
    first = shown["answers"][0]
    assert {"model", "count", "fixtures", "promised", "recomputed", "cost"} <= set(first)
    assert {"x_m", "y_m", "rotation_deg", "group"} <= set(first["fixtures"][0])
    assert shown["bound_model"] == first["model"]
    assert shown["bound"] <= first["count"] == len(first["fixtures"])
    assert shown["asked"]["minimum_fc"] == pytest.approx(30.0)
    found = figures_of(LightEngine().solve(load_plan(saved)))
    assert found.minimum / LUX_PER_FC >= 30.0
    assert found.average / LUX_PER_FC == pytest.approx(first["recomputed"]["average_fc"], rel=1e-4)


def test_joists_and_models_that_are_not_looked_at_are_told(tmp_path, capsys):
    plan = bare(12.0, 10.0)
    plan = replace(plan, room=replace(plan.room, joists=(JoistZone("joists", offset=0.1),)))
    save_plan(plan, tmp_path / "room.json")
    models = [model for model in catalogue() if model.mounting == "surface"][:4]
    asked = [part for model in models for part in ("--model", model.id)]
    words = ["suggest", str(tmp_path / "room.json"), "--average-fc", "20", "--rows", "--on-joists", *asked]
    assert main(words) == 0
    said = capsys.readouterr().out
    assert re.search(r"\b[1-9] of [1-9] on joists\.", said)
    looked = ", ".join(model.name for model in models[:3])
    assert f"Of 4 models only the first 3 were looked at: {looked}." in said


@pytest.mark.parametrize(
    "words",
    [
        ["suggest"],
        ["suggest", "nothing.json", "--min-fc", "30"],
        ["suggest", "PLAN"],
        ["suggest", "PLAN", "--min-fc", "many"],
        ["suggest", "PLAN", "--min-fc", "30", "--model", "none of these"],
        ["suggest", "PLAN", "--count", "0"],
        ["suggest", "PLAN", "--min-fc", "30", "--on-joists"],
        ["suggest", "PLAN", "--average-fc", "30", "--reduced-fc", "10"],
        ["suggest", "PLAN", "--average-fc", "30", "--reduced-fc", "10", "--switches-on", "A,Q"],
        ["suggest", "PLAN", "--min-fc", "30", "--from-wall", "far"],
    ],
)
def test_wrong_input_is_one_line(words, plan_file, capsys):
    assert main([str(plan_file) if word == "PLAN" else word for word in words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("candlebench: ")
    assert said.err.count("\n") == 1


def test_nothing_of_qt_is_loaded_and_nothing_else_is_printed(plan_file):
    code = (
        "import sys; from app.__main__ import main;"
        f"code = main(['suggest', {str(plan_file)!r}, '--average-fc', '40', '--json']);"
        "print([name for name in sys.modules if name.startswith('PySide6')], file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout)["answers"]
    assert done.stderr.strip() == "[]"
