"""What the report says about the checks: findings and bench pictures, wrong and right layouts told apart."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtGui import QImage

from app.checks.report import write_checks
from core.checks.checker import Checker
from core.checks.findings import findings_of_all
from core.light.engine import LightEngine
from core.plan import Combination, Level
from core.report import ReportError
from tests.core.checks.shops import bench_shop

ENGINE = LightEngine(step=0.6)
CHECKER = Checker(ENGINE)
"""The quick way; the first test takes the thorough one, as the report does."""


def report(plan: Any, folder: Path) -> list[dict[str, str]]:
    write_checks(plan, folder, ENGINE)
    return written(folder)


def written(folder: Path) -> list[dict[str, str]]:
    with (folder / "findings.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def shadow(rows: list[dict[str, str]], setting: str = "All on") -> dict[str, str]:
    return next(r for r in rows if r["what"].startswith("body shadow") and r["combination"] == setting)


def test_wrong_and_right_layout_are_told_apart_with_cause_and_remedy(tmp_path: Path, qapp: Any) -> None:
    kept = Combination("Late work", (Level("A", 0.5),))
    wrong = report(replace(bench_shop(1.9), combinations=(kept,)), tmp_path)
    row = shadow(wrong)
    assert (row["severity"], row["where"], row["unit"]) == ("to do", "Bench", "%")
    assert float(row["figure"]) > 60.0
    assert "behind the worker" in row["cause"]
    assert "towards and over the bench" in row["remedy"]
    assert shadow(wrong, "Late work")["cause"]
    assert {r["combination"] for r in wrong} >= {"All on", "A alone", "Late work"}
    order = [r["severity"] for r in wrong if r["combination"] == "All on"]
    assert order == sorted(order, key=["to do", "to mind", "good"].index)
    row = shadow(report(bench_shop(0.5), tmp_path))
    assert row["severity"] == "good"
    assert row["remedy"] == ""


def test_each_bench_with_a_worker_gets_its_picture(tmp_path: Path, qapp: Any) -> None:
    plan = bench_shop(1.9)
    twin = replace(plan.furniture[0], id="bench-2", x=1.0, y=3.2, width=1.0, worker_side="front")
    study = CHECKER.study(replace(plan, furniture=(*plan.furniture, twin)))
    write_checks(study.plan, tmp_path, ENGINE, (study, findings_of_all(study)))
    assert sorted(p.name for p in tmp_path.glob("*.png")) == ["bench-bench-2.png", "bench-bench.png"]
    image = QImage(str(tmp_path / "bench-bench.png"))
    colours = {image.pixel(x, y) for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)}
    assert len(colours) > 100


def test_no_cell_begins_as_a_formula(tmp_path: Path, qapp: Any) -> None:
    plan = bench_shop(1.9)
    bench = replace(plan.furniture[0], name="=HYPERLINK(1)")
    named = CHECKER.study(replace(plan, furniture=(bench,)))
    write_checks(named.plan, tmp_path, ENGINE, (named, findings_of_all(named)))
    rows = written(tmp_path)
    assert all(not cell.startswith(("=", "+", "-", "@", "\t", "\r")) for row in rows for cell in row.values() if cell)


def test_a_folder_that_cannot_be_written_is_told_in_one_line(tmp_path: Path, qapp: Any) -> None:
    (tmp_path / "findings.csv").mkdir()
    bare = replace(bench_shop(1.9), furniture=())
    study = CHECKER.study(bare)
    with pytest.raises(ReportError) as told:
        write_checks(bare, tmp_path, ENGINE, (study, findings_of_all(study)))
    assert "\n" not in str(told.value)
