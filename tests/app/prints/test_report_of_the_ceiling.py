"""The ceiling's part of `candlebench report`, run as a whole: conflicts found and cleared, and what was cut."""

from __future__ import annotations

import csv
import shutil
import subprocess
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from app.__main__ import main
from core.ceiling import conflicts
from core.light.engine import LightEngine
from core.plan import KeepOut, Plan
from core.plan.ceiling import AsBuilt
from core.plan.edits import moved
from core.plan.file import plan_from_text, save_plan
from core.report import write_report
from core.units import INCH
from tests.core.ceiling.rooms import plan_of, rectangle

COLUMNS = "fixture, point, wall_a, from_a_in, from_a_tape, wall_b, from_b_in, from_b_tape, joist, box, note"


def reported(plan: Plan, folder: Path) -> Path:
    """Write the report of a plan as the command does; return its folder."""
    folder.mkdir()
    save_plan(plan, folder / "plan.json")
    assert main(["report", str(folder / "plan.json"), "--out", str(folder / "out")]) == 0
    return folder / "out"


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def sheet_text(folder: Path) -> str:
    pdf = str(folder / "ceiling-sheet.pdf")
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True)
    return " ".join(done.stdout.decode().split())


def barn_with_two_bays() -> Plan:
    """The barn's room with its tracks, opener and doors; the fixture that meets a track, and one put at the opener."""
    barn = plan_from_text((files("demo_rooms") / "metal_wood_barn.json").read_bytes())
    opener = next(item for item in barn.room.keep_outs if item.kind == "opener")
    bay = barn.fixture("fixture-10")
    other = replace(barn.fixture("fixture-6"), x=opener.x, y=opener.y, drop=bay.drop)
    groups = tuple(group for group in barn.groups if group.letter in (other.group, bay.group))
    return replace(barn, fixtures=(other, bay), furniture=(), combinations=(), groups=groups)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler's pdftotext")
def test_the_barn_s_conflicts_are_reported_and_moving_the_fixtures_clears_them(qapp, tmp_path) -> None:
    barn = barn_with_two_bays()
    out = reported(barn, tmp_path / "drawn")
    met = {row["what"]: float(row["figure"]) for row in rows(out / "findings.csv") if row["severity"] == "to do"}
    opener = next(item for item in barn.room.keep_outs if item.kind == "opener")
    for what in ("Front door track", opener.name, "the open Overhead door"):
        assert met[f"clearance to {what}"] < 0.0
    assert all(box["note"].startswith("CONFLICT") for box in rows(out / "box-centres.csv"))
    text = sheet_text(out)
    assert text.count("DO NOT CUT") == 2
    assert "C1, B1 cannot hang where drawn" in text
    # Out of the doors' way, as somebody would hang them.
    clear = moved(moved(barn, ("fixture-10",), 0.0, -1.0), ("fixture-6",), -1.0, 0.0)
    out = reported(clear, tmp_path / "moved")
    assert not [row for row in rows(out / "findings.csv") if row["what"].startswith("clearance")]
    assert not [box for box in rows(out / "box-centres.csv") if "CONFLICT" in box["note"]]
    text = sheet_text(out)
    assert "DO NOT CUT" not in text
    assert "cannot hang" not in text
    assert "No fixture body is in the way" in text


def test_after_a_box_is_cut_elsewhere_light_and_cable_are_redone(qapp, tmp_path) -> None:
    # Cut 18 in nearer to the front wall (A) than marked, where a track is in the way.
    track = KeepOut("k", "track", 60 * INCH, 42 * INCH, 20 * INCH, 2 * INCH, drop=4 * INCH, name="Track")
    plan = plan_of(rectangle(9, 8), [(5, 5)], keep_outs=(track,))
    assert conflicts(plan) == ()
    entry = AsBuilt("f1", 0, 3, 42 * INCH, 60 * INCH)
    built = reported(replace(plan, ceiling=replace(plan.ceiling, as_built=(entry,))), tmp_path / "cut")
    # The same as a plan that had it there from the start.
    write_report(moved(plan, ("f1",), 0.0, -18 * INCH), tmp_path / "there", LightEngine())
    for name in ("light-all-on.csv", "cable.csv", "summary.json"):
        assert (built / name).read_text() == (tmp_path / "there" / name).read_text(), name
    assert [row["what"] for row in rows(built / "findings.csv") if "Track" in row["what"]] == ["clearance to Track"]
    # The list of marks stays that of the plan; the sheet lists how far off it was cut.
    (box,) = rows(built / "box-centres.csv")
    assert ", ".join(list(box)[:11]) == COLUMNS
    assert (box["from_a_in"], box["from_a_tape"]) == ("60.0", "5'")
    if shutil.which("pdftotext") is not None:
        assert "cut elsewhere than marked" in sheet_text(built)
        assert "1' 6\" too near" in sheet_text(built)
