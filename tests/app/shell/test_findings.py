"""Sentences about the light: what they say, in which order, and what a click on one does."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.panels.sentences import Weight, sentences
from app.panels.words import kept_together
from app.window import MainWindow
from core.light.engine import LightEngine
from core.plan import Plan
from core.units import LUX_PER_FC, UnitSystem
from tests.app.shell.conftest import small_shop

ON = {"A": 1.0, "B": 1.0}


@pytest.fixture(scope="module")
def engine() -> LightEngine:
    return LightEngine(step=0.6)


def said(
    engine: LightEngine, plan: Plan, levels: dict[str, float], units: UnitSystem = UnitSystem.US, factor: float = 1.0
):  # type: ignore[no-untyped-def]
    lighting = engine.solve(plan)
    return sentences(plan, lighting, lighting.field(levels), levels, units, factor)


def with_target(plan: Plan, lux: float) -> Plan:
    return replace(plan, targets=replace(plan.targets, lux=lux, evenness=0.0))


def test_too_little_comes_first_and_names_the_switch_that_is_off(engine: LightEngine) -> None:
    plan = small_shop()
    lighting = engine.solve(plan)
    at_bench = lighting.field(ON).benches["bench-1"].average
    plan = replace(plan, targets=replace(plan.targets, lux=at_bench * 0.9, evenness=1.0))
    found = said(engine, plan, {"A": 0.0, "B": 1.0})
    assert len(found) == 4  # bench and room, each too dark and uneven
    first = found[0]
    assert first.weight is Weight.ACT
    assert first.about in {("bench-1",), ()}
    bench = next(s for s in found if s.about == ("bench-1",))
    assert "too little" in bench.title
    assert "Switch A is off or dimmed" in bench.detail
    assert f"fully on: {at_bench / LUX_PER_FC:.0f} fc" in bench.detail
    assert [s.weight for s in found] == sorted(s.weight for s in found)


def test_enough_is_said_with_figure_and_target(engine: LightEngine) -> None:
    plan = small_shop()
    average = engine.solve(plan).field(ON).benches["bench-1"].average
    plan = with_target(plan, average / 1.2)
    bench = next(s for s in said(engine, plan, ON) if s.about == ("bench-1",))
    assert bench.weight is Weight.GOOD
    assert bench.title == f"Joinery bench: {average / LUX_PER_FC:.0f} fc"
    assert bench.detail == f"Target {plan.targets.lux / LUX_PER_FC:.0f} fc, initial."


def test_much_more_than_needed_is_said(engine: LightEngine) -> None:
    plan = small_shop()
    average = engine.solve(plan).field(ON).benches["bench-1"].average
    found = said(engine, with_target(plan, average / 3.0), ON)
    bench = next(s for s in found if s.about == ("bench-1",))
    assert "more than needed" in bench.title
    assert bench.detail.startswith("3.0 times the target")


def test_with_every_switch_on_it_says_that_switching_will_not_help(engine: LightEngine) -> None:
    found = said(engine, with_target(small_shop(), 10_000.0), ON)
    assert all("Every switch is fully on" in s.detail for s in found if "too little" in s.title)


def test_an_uneven_room_is_said_with_its_darkest_point(engine: LightEngine) -> None:
    plan = replace(small_shop(), targets=replace(small_shop().targets, lux=1.0, evenness=1.0))
    room = engine.solve(plan).field(ON).room
    found = [s for s in said(engine, plan, ON) if s.title.startswith("Room: uneven")]
    assert [s.title for s in found] == [f"Room: uneven, {room.evenness:.2f}"]


def test_maintained_light_is_judged_after_the_loss(engine: LightEngine) -> None:
    plan = small_shop()
    average = engine.solve(plan).field(ON).benches["bench-1"].average
    plan = with_target(plan, average * 0.9)
    weights = [
        next(s for s in said(engine, plan, ON, factor=factor) if s.about == ("bench-1",)).weight
        for factor in (1.0, 0.81)
    ]
    assert weights == [Weight.GOOD, Weight.MIND]


def test_nothing_hung_and_nothing_on_have_words_of_their_own(engine: LightEngine) -> None:
    plan = small_shop()
    bare = replace(plan, fixtures=())
    assert [s.title for s in sentences(bare, None, None, ON, UnitSystem.US)] == ["No fixture hangs here yet"]
    assert [s.title for s in said(engine, plan, {"A": 0.0, "B": 0.0})] == ["All switches are off"]


def test_a_click_on_a_sentence_selects_what_it_is_about(lit: MainWindow) -> None:
    lit.inspector.findings.refresh()
    line = next(line for line in lit.inspector.findings.lines if line.sentence.about)
    QTest.mouseClick(line, Qt.MouseButton.LeftButton)
    assert lit.document.selection == {"bench-1"}
    assert lit.inspector.title.text() == "Joinery bench"


def test_sentences_follow_the_switches(lit: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    QTest.keyClick(lit.canvas, Qt.Key.Key_A)
    QTest.keyClick(lit.canvas, Qt.Key.Key_B)
    qtbot.waitUntil(lambda: lit.inspector.findings.lines[0].sentence.title == "All switches are off")


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("shades 17 % of the light", "shades 17~% of the light"),
        ("43 fc, 12 W and 6,600 lm", "43~fc, 12~W and 6,600~lm"),
        ('1\' 6" towards 1 1/4" in height', '1\'~6" towards 1~1/4" in height'),
        ("14 inches of 2 walls", "14 inches of 2 walls"),
    ],
)
def test_no_line_ends_between_a_number_and_its_unit(said: str, shown: str) -> None:
    assert kept_together(said) == shown.replace("~", "\u00a0")
