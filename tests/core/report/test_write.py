"""The report's files have the agreed names and columns, and their figures obey what light obeys: it is linear."""

from __future__ import annotations

import csv
import json
from dataclasses import replace

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.plan import Combination, Furniture, Group, Level
from core.plan.edits import added, changed, hung, with_combination, with_group
from core.report import ReportError, write_report
from core.units import LUX_PER_FC
from tests.core.plan.test_edits import PLAN

FIGURES = {
    "average_fc",
    "minimum_fc",
    "maximum_fc",
    "evenness",
    "average_lx",
    "minimum_lx",
    "maintained_average_fc",
    "maintained_average_lx",
}
LINEAR = FIGURES - {"evenness"}


def shop():
    plan = with_group(with_group(PLAN, Group("A", "Benches", True)), Group("B", "Door side"))
    plan = added(plan, Furniture("bench-1", "bench", "Bench", 1.0, 2.0, 1.5, 0.7, 0.9))
    for x, letter in ((1.5, "A"), (4.5, "A"), (3.0, "B")):
        plan, _ = hung(plan, "strip-4", x, 2.0, group=letter)
    full = Combination("Full", (Level("A", 1.0), Level("B", 0.8)))
    half = Combination("Half", (Level("A", 0.5), Level("B", 0.4)))
    return with_combination(with_combination(plan, full), half)


@pytest.fixture(scope="module")
def engine():
    return LightEngine(step=0.4)


@pytest.fixture(scope="module")
def report(engine, tmp_path_factory):
    out = tmp_path_factory.mktemp("report") / "new" / "folder"
    written = write_report(shop(), out, engine)
    assert sorted(path.name for path in out.iterdir()) == sorted(path.name for path in written)
    return out


def figures(out):
    found = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    return found, {combination["name"]: combination for combination in found["combinations"]}


def light(out, name):
    with (out / f"light-{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["x_m", "y_m", "fc"]
    return np.array(rows[1:], dtype=float)


def test_the_files_have_the_agreed_names(report):
    names = {path.name for path in report.iterdir()}
    lights = {f"light-{name}.csv" for name in ("all-on", "a-alone", "b-alone", "full", "half", "all-off")}
    assert names == {"summary.json", "shopping-list.csv", "circuits.csv", "cable.csv", "box-centres.csv"} | lights


def test_the_summary_has_the_agreed_fields(report):
    found, by_name = figures(report)
    assert found["plan"] == "Shop"
    assert {"units", "combinations", "energy_balance"} <= set(found)
    assert 0.95 < found["energy_balance"] < 1.05
    for combination in by_name.values():
        assert {"name", "levels", "lumens", "watts", "room", "benches"} <= set(combination)
        assert set(combination["levels"]) == {"A", "B"}
        assert set(combination["room"]) == FIGURES
        (bench,) = combination["benches"]
        assert bench["name"] == "Bench"
        assert set(bench) == FIGURES | {"name"}
        assert (report / combination["file"]).exists()


def test_lumens_and_watts_follow_the_settings_and_levels(report):
    _, by_name = figures(report)
    assert (by_name["All on"]["lumens"], by_name["All on"]["watts"]) == (3 * 4400, 3 * 35)
    assert (by_name["Full"]["lumens"], by_name["Full"]["watts"]) == (2 * 4400 + 0.8 * 4400, 2 * 35 + 0.8 * 35)
    assert (by_name["All off"]["lumens"], by_name["All off"]["watts"]) == (0, 0)


def test_halving_every_level_halves_every_figure(report):
    _, by_name = figures(report)
    full, half = by_name["Full"], by_name["Half"]
    for more, less in ((full["room"], half["room"]), (full["benches"][0], half["benches"][0])):
        assert all(more[name] > 0 for name in LINEAR)
        for name in LINEAR:
            assert less[name] == pytest.approx(more[name] / 2, rel=1e-5)
        assert less["evenness"] == pytest.approx(more["evenness"], abs=1e-5)
    assert light(report, "half")[:, 2] == pytest.approx(light(report, "full")[:, 2] / 2, rel=1e-5, abs=1e-6)


def test_two_groups_lit_together_give_the_sum_of_each_alone(report):
    together, one, other = (light(report, name) for name in ("all-on", "a-alone", "b-alone"))
    assert np.array_equal(together[:, :2], one[:, :2])
    assert np.array_equal(together[:, :2], other[:, :2])
    assert together[:, 2] == pytest.approx(one[:, 2] + other[:, 2], rel=1e-5, abs=2e-6)
    assert one[:, 2].max() > 1.0
    assert light(report, "all-off")[:, 2].max() == 0.0


def test_the_figures_belong_to_each_other(report):
    found, by_name = figures(report)
    room = by_name["All on"]["room"]
    assert room["average_lx"] == pytest.approx(room["average_fc"] * LUX_PER_FC, rel=1e-5)
    assert room["evenness"] == pytest.approx(room["minimum_fc"] / room["average_fc"], rel=1e-4)
    assert found["light_loss_factor"] == pytest.approx(0.81)
    assert room["maintained_average_fc"] == pytest.approx(0.81 * room["average_fc"], rel=1e-5)
    assert room["minimum_fc"] < room["average_fc"] < room["maximum_fc"]


def test_the_room_average_is_that_of_the_points_off_the_wall_band(report):
    points = light(report, "all-on")
    band = 0.5
    off = (np.abs(points[:, 0] - 3.0) <= 3.0 - band + 1e-9) & (np.abs(points[:, 1] - 2.0) <= 2.0 - band + 1e-9)
    _, by_name = figures(report)
    assert by_name["All on"]["room"]["average_fc"] == pytest.approx(points[off, 2].mean(), rel=1e-4)


def test_renaming_computes_no_light_again(engine, report, tmp_path):
    before = engine.rooms_made, engine.columns_made
    fixture = shop().fixtures[0].id
    renamed = replace(changed(changed(shop(), [fixture], name="Old faithful"), ["bench-1"], name="Other"), name="New")
    write_report(renamed, tmp_path, engine)
    assert (engine.rooms_made, engine.columns_made) == before
    assert light(tmp_path, "all-on")[:, 2] == pytest.approx(light(report, "all-on")[:, 2])
    moved = changed(shop(), [fixture], x=2.0)
    write_report(moved, tmp_path, engine)
    assert engine.columns_made == before[1] + 1


def test_the_picture_is_asked_for_with_everything_on(engine, tmp_path):
    asked = []

    def draw(plan, lighting, levels, path):
        asked.append((plan.name, lighting.is_full, dict(levels), path.name))
        path.write_bytes(b"picture")

    written = write_report(shop(), tmp_path, engine, draw)
    assert asked == [("Shop", True, {"A": 1.0, "B": 1.0}, "plan.png")]
    assert tmp_path / "plan.png" in written


def test_a_plan_without_fixtures_and_benches_can_be_reported(engine, tmp_path):
    write_report(replace(PLAN, groups=(Group("A", "Main"),)), tmp_path, engine)
    found, by_name = figures(tmp_path)
    assert by_name["All on"]["room"]["average_fc"] == 0.0
    assert by_name["All on"]["benches"] == []
    json.dumps(found, allow_nan=False)
    assert (tmp_path / "shopping-list.csv").read_text(encoding="utf-8").strip().startswith("item,for,quantity")


def test_a_folder_that_cannot_be_used_is_named_in_one_line(engine, tmp_path):
    (tmp_path / "file").write_text("x")
    for place in (tmp_path / "file", tmp_path / "file" / "below", tmp_path / "bad\0name"):
        with pytest.raises(ReportError) as caught:
            write_report(shop(), place, engine)
        assert "\n" not in str(caught.value)
