"""In the demo rooms a lamp behind the person and one over the bench are told apart, with cause and remedy."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.__main__ import main
from app.checks.report import write_checks
from core.checks.checker import Checker
from core.checks.findings import findings, findings_csv, findings_of_all
from core.light.engine import LightEngine
from core.plan import Plan
from core.plan.edits import changed
from core.plan.file import load_plan, save_plan

ROOMS = Path(__file__).parents[3] / "demo_rooms"


def room(name: str, bench: str) -> Plan:
    """A demo room where somebody works at one bench only."""
    plan = load_plan(ROOMS / f"{name}.json")
    people = tuple(f if f.id == bench else replace(f, worker_side="nobody") for f in plan.furniture)
    return replace(plan, furniture=people)


@pytest.fixture(scope="module")
def checkers() -> dict[str, Checker]:
    """One for each room: the room is the same wherever its lamps hang."""
    return {}


def shadow(rows: list[dict[str, str]], setting: str = "All on") -> dict[str, str]:
    (found,) = [r for r in rows if r["what"].startswith("body shadow") and r["combination"] == setting]
    return found


def reported(plan: Plan, checker: Checker, folder: Path) -> list[dict[str, str]]:
    """What the report says about a plan, shadows by the quick way."""
    folder.mkdir()
    study = checker.study(plan)
    write_checks(plan, folder, LightEngine(), (study, findings_of_all(study)))
    return written(folder)


def written(folder: Path) -> list[dict[str, str]]:
    with (folder / "findings.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.long
def test_the_command_names_the_wrong_layout(tmp_path: Path, qapp: Any) -> None:
    """`candlebench report` itself, which solves the room with the worker in full."""
    plan = changed(room("luthier_basement", "bench-1"), ["fixture-1"], y=2.55)
    save_plan(plan, tmp_path / "plan.json")
    assert main(["report", str(tmp_path / "plan.json"), "--out", str(tmp_path / "out")]) == 0
    wrong = shadow(written(tmp_path / "out"))
    assert wrong["severity"] == "to do"
    assert "fixture-1" in wrong["cause"]
    assert "towards and over the bench" in wrong["remedy"]
    assert (tmp_path / "out" / "bench-carving-bench.png").is_file()


def test_the_report_tells_the_wrong_luthier_layout_from_the_right_one(
    checkers: dict[str, Checker], tmp_path: Path, qapp: Any
) -> None:
    plan = room("luthier_basement", "bench-1")
    checker = checkers.setdefault("luthier_basement", Checker(LightEngine(step=0.6)))
    strongest = max(plan.fixtures, key=lambda f: plan.model(f.model).settings[f.setting].lumens)
    assert strongest.id == "fixture-1"
    right = shadow(reported(plan, checker, tmp_path / "right"))
    assert (right["where"], right["severity"], right["remedy"]) == ("Carving bench", "good", "")
    rows = reported(changed(plan, ["fixture-1"], y=2.55), checker, tmp_path / "wrong")
    wrong = shadow(rows)
    assert wrong["severity"] == "to do"
    assert float(wrong["figure"]) > 40.0 > 20.0 > float(right["figure"])
    assert wrong["cause"].startswith("8 ft strip, frosted (fixture-1, switch A) hangs")
    assert "behind the worker" in wrong["cause"]
    assert "Move 8 ft strip, frosted (fixture-1, switch A)" in wrong["remedy"]
    assert "towards and over the bench" in wrong["remedy"]
    assert rows.index(wrong) == min(n for n, r in enumerate(rows) if r["where"] == "Carving bench")
    assert shadow(rows, "A alone")["severity"] == "to do"
    assert (tmp_path / "wrong" / "bench-carving-bench.png").is_file()


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "bench", "fixture", "over", "behind"),
    [
        ("luthier_basement", "bench-2", "fixture-2", {"x": 5.55}, {"x": 4.4}),
        ("luthier_basement", "bench-3", "fixture-3", {"x": 0.4}, {"x": 1.6}),
        ("bicycle_garage", "bench-2", "fixture-1", {"x": 1.68, "y": 6.2}, {"x": 1.68, "y": 5.1}),
        ("metal_wood_barn", "bench-2", "fixture-2", {"x": 3.35, "y": 3.0}, {"x": 3.35, "y": 1.3}),
    ],
)
def test_at_other_benches_too(
    checkers: dict[str, Checker], name: str, bench: str, fixture: str, over: Any, behind: Any
) -> None:
    plan, checker = room(name, bench), checkers.setdefault(name, Checker(LightEngine(step=0.6)))
    group = plan.fixture(fixture).group

    def body(layout: Plan) -> dict[str, str]:
        alone = replace(layout, fixtures=tuple(f for f in layout.fixtures if f.id == fixture))
        study = checker.study(alone)
        return shadow(list(csv.DictReader(findings_csv(findings(study, "All on", {group: 1.0})).splitlines())))

    right, wrong = body(changed(plan, [fixture], **over)), body(changed(plan, [fixture], **behind))
    assert (right["severity"], wrong["severity"]) == ("good", "to do")
    assert fixture in wrong["cause"]
    assert "behind the worker" in wrong["cause"]
    assert fixture in wrong["remedy"]
