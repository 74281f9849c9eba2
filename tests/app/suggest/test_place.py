"""'Place them for me' by mouse and keyboard, on the small invented shop."""

from __future__ import annotations

from dataclasses import replace
from threading import Event

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton

from app.suggest.answer_card import figures_text, staying_text
from app.suggest.runner import Runner
from core.catalogue import catalogue
from core.plan import JoistZone
from core.suggest.answer import Answer, LightFigures, Points
from core.suggest.request import RequestError
from core.units import INCH, LUX_PER_FC, UnitSystem

_LONG = 60_000


def click(button: QPushButton) -> None:
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def type_into(entry, text: str) -> None:
    entry.line.setFocus()
    entry.line.selectAll()
    QTest.keyClicks(entry.line, text)
    QTest.keyClick(entry.line, Qt.Key.Key_Return)


@pytest.fixture
def dialog(qtbot, open_window):
    window = open_window()
    window.layouts.show_dialog()
    made = window.layouts.dialog
    qtbot.waitExposed(made)
    yield made
    made.close()
    window.layouts.shutdown()


def search(qtbot, dialog) -> None:
    click(dialog.look)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)


def test_ask_use_undo(qtbot, dialog):
    document = dialog._document
    before = document.settled_plan
    type_into(dialog.form.average, "40 fc")
    search(qtbot, dialog)
    assert dialog.cards
    assert "fewer than" in dialog.bound.text()
    answer = dialog.cards[0].answer
    assert answer.is_met
    dialog.compare_wanted.disconnect()  # what the comparison shows is tested by itself
    with qtbot.waitSignal(dialog.compare_wanted) as caught:
        click(dialog.cards[0].compare)
    assert caught.args[0] == before
    assert len(caught.args[1].fixtures) == answer.count
    click(dialog.cards[0].aside)
    assert document.settled_plan.layout == f"{answer.count} of {answer.model.name}"
    assert [kept.fixtures for kept in document.settled_plan.alternatives] == [before.fixtures]
    document.undo()
    assert document.settled_plan == before
    assert f"{answer.count} of" in document_text(dialog.cards[0])
    assert "1 circuit: " in dialog.cards[0].comfort.text()
    switches = dialog.parent().switches
    switches.toggle("B")
    click(dialog.cards[0].use)
    assert set(switches.levels.values()) == {1.0}, "as the answer's figures are"
    assert [card.hangs.isVisible() for card in dialog.cards] == [card is dialog.cards[0] for card in dialog.cards]
    assert len(document.settled_plan.fixtures) == answer.count
    assert {(f.x, f.y) for f in document.settled_plan.fixtures} == {(f.x, f.y) for f in answer.fixtures}
    assert document.undo_text.startswith("Place")
    assert len(document.selection) == answer.count
    document.undo()
    assert document.settled_plan == before


def document_text(card) -> str:
    return " ".join(label.text() for label in card.findChildren(type(card.figures)))


def test_a_field_that_cannot_be_read_is_said(qtbot, dialog):
    type_into(dialog.form.average, "forty")
    click(dialog.look)
    assert not dialog.runner.is_busy
    assert dialog.trouble.isVisible()


def test_benches_and_the_power_setting_are_asked_for(dialog):
    form = dialog.form
    assert not form.power.isEnabled(), "the models have only their strongest setting in common"
    model = next(m for m in catalogue() if len(m.settings) > 1 and m.mounting != "bench")
    form.model.set_value((model.id,))
    form.model.chosen.emit((model.id,))
    form.power.set_value(0)
    type_into(form.bench_minimum, "55 fc")
    type_into(form.reduced, "30 fc")
    type_into(form.reduced_on, "1")
    assert not form.shadow.isEnabled(), "nobody stands at a bench"
    form.set_plan(with_somebody(dialog._document.settled_plan), catalogue())
    type_into(form.shadow, "25 %")
    type_into(form.glare, "22")
    type_into(form.circuits, "1")
    request = form.request()
    assert (request.shadow_limit, request.glare_limit, request.circuits) == (0.25, 22.0, 1)
    assert request.reduced_average == pytest.approx(30 * LUX_PER_FC)
    assert request.reduced_on == 1
    assert request.models == (model.id,)
    assert request.setting == 0
    assert request.bench_minimum == pytest.approx(55 * LUX_PER_FC)


def test_what_cannot_be_is_said_in_words(qtbot, dialog):
    type_into(dialog.form.minimum, "200 fc")
    type_into(dialog.form.at_most, "2")
    dialog.form.average.line.clear()
    search(qtbot, dialog)
    said = dialog.trouble.text()
    assert said.startswith("In the way: minimum at ")
    assert "fc at the most, 200 fc was asked." in said


def with_somebody(plan):
    """Return the plan with a worker at every bench."""
    benches = {bench.id for bench in plan.benches()}
    items = tuple(replace(item, worker_side="front") if item.id in benches else item for item in plan.furniture)
    return replace(plan, furniture=items)


def test_body_shadow_and_glare_are_on_the_card(qtbot, dialog):
    dialog._document.apply("Somebody works", with_somebody(dialog._document.settled_plan))
    type_into(dialog.form.average, "40 fc")
    type_into(dialog.form.glare, "5")
    type_into(dialog.form.at_most, "2")
    dialog.form.arrangement.set_value("rows")
    dialog.form.minimise.set_value("shadow")
    search(qtbot, dialog)
    card = dialog.cards[0]
    _bench, share = card.answer.comfort.shadows[0]
    assert f"{100 * share:.0f} %" in card.comfort.text()
    assert f"UGR {card.answer.comfort.glare:.1f}" in card.comfort.text()
    assert card.state.text().startswith("Misses: glare at ")
    assert "UGR 5.0 was asked" in dialog.trouble.text()


def test_a_nudge_is_offered_with_its_gain_and_is_one_step(qtbot, dialog):
    document = dialog._document
    click(dialog.hanging.nudge)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)
    assert dialog.hanging.take_nudge.isVisible()
    assert "→" in dialog.empty.text()
    before = document.settled_plan
    click(dialog.hanging.take_nudge)
    assert document.undo_text == "Nudge the fixtures"
    assert document.settled_plan != before
    document.undo()
    assert document.settled_plan == before


def test_a_nudge_against_body_shadow_says_what_it_gains(qtbot, dialog):
    document, hanging = dialog._document, dialog.hanging
    assert not hanging.better.isEnabled()
    assert "Nobody stands" in hanging.better.toolTip()
    document.apply("Somebody works", with_somebody(document.settled_plan))
    assert hanging.better.isEnabled()
    hanging.better.setFocus()
    QTest.keyClick(hanging.better, Qt.Key.Key_Down)
    assert hanging.better.currentText() == "so that your body shades the work less"
    before = document.settled_plan
    click(hanging.nudge)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)
    ((_, old),), ((_, new),) = hanging.found.shadows_before, hanging.found.shadows_after
    assert f"body shadow at the hands Joinery bench {100 * old:.0f} % → {100 * new:.0f} %;" in dialog.empty.text()
    assert new < old
    click(hanging.take_nudge)
    assert document.settled_plan == hanging.found.plan != before
    document.undo()
    assert document.settled_plan == before
    document.undo()
    assert not hanging.better.isEnabled()
    assert hanging.better.currentText() == "so that dark spots get lighter"


def test_a_nudge_of_a_plan_that_has_changed_is_not_taken(qtbot, dialog):
    document = dialog._document
    click(dialog.hanging.nudge)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)
    document.apply("Another name", replace(document.settled_plan, name="Another"))
    click(dialog.hanging.take_nudge)
    assert document.undo_text == "Another name"
    assert "has changed since" in dialog.trouble.text()


def test_a_layout_on_joists_says_how_many_are(qtbot, dialog):
    document = dialog._document
    plan = document.settled_plan
    document.apply("Joists", replace(plan, room=replace(plan.room, joists=(JoistZone("joists", offset=0.1),))))
    dialog.form.joists.setFocus()
    QTest.keyClick(dialog.form.joists, Qt.Key.Key_Space)
    type_into(dialog.form.average, "40 fc")
    dialog.form.arrangement.set_value("rows")
    search(qtbot, dialog)
    answer = dialog.cards[0].answer
    assert answer.is_met
    assert answer.on_joists
    assert f"{answer.on_joists} of {answer.count} on joists" in dialog.cards[0].comfort.text()


def test_the_distance_of_a_nudge_is_the_users(qtbot, dialog):
    type_into(dialog.hanging.tolerance, "4 in")
    document = dialog._document
    before = {fixture.id: fixture for fixture in document.settled_plan.fixtures}
    click(dialog.hanging.nudge)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)
    assert '4"' in dialog.empty.text()
    moves = dialog.hanging.found.moves
    assert moves
    assert max(abs(part) for _, dx, dy in moves for part in (dx, dy)) <= 4 * INCH + 1e-6
    assert {identity for identity, _, _ in moves} <= set(before)


def test_switches_are_proposed_for_what_hangs_and_are_one_step(qtbot, dialog):
    document = dialog._document
    before = document.settled_plan
    now = len({fixture.group for fixture in before.fixtures})
    type_into(dialog.form.switches, str(now + 1))
    click(dialog.hanging.switches)
    qtbot.waitUntil(lambda: not dialog.runner.is_busy, timeout=_LONG)
    assert dialog.empty.text().startswith("Fixtures on each switch: ")
    click(dialog.hanging.take_switches)
    after = document.settled_plan
    assert len({fixture.group for fixture in after.fixtures}) == now + 1
    assert [(f.id, f.x, f.y) for f in after.fixtures] == [(f.id, f.x, f.y) for f in before.fixtures]
    document.undo()
    assert document.settled_plan == before


def test_a_stopped_job_hands_back_what_it_has(qtbot):
    runner = Runner()
    begun = Event()

    def job(_progress, cancelled, _found):
        begun.set()
        while not cancelled():
            pass
        return "so far"

    with qtbot.waitSignal(runner.done, timeout=5000) as caught:
        runner.start(job)
        assert begun.wait(5.0)
        runner.stop()
    assert caught.args == ["so far"]
    runner.shutdown()


def test_a_refused_request_is_told_not_raised(qtbot):
    runner = Runner()

    def job(*_):
        raise RequestError("say what the light must reach.")

    with qtbot.waitSignal(runner.failed, timeout=5000) as caught:
        runner.start(job)
    assert caught.args == ["Say what the light must reach."]
    runner.shutdown()


def test_lamps_that_stay_are_told_for_figures_leave_them_out(open_window):
    plan = open_window().document.settled_plan
    assert staying_text(plan) == ""
    lamp = replace(plan.fixtures[0], height=1.2)
    watts = plan.setting(lamp).watts
    assert staying_text(replace(plan, fixtures=(lamp, *plan.fixtures[1:]))).startswith("1 lamp stays")
    both = replace(plan, fixtures=(lamp, replace(lamp, id="other"), *plan.fixtures[2:]))
    assert f"{2 * watts:g} W come on top" in staying_text(both)


def test_the_darkest_spot_of_a_card_is_one_that_counts():
    light = LightFigures(60 * LUX_PER_FC, 12 * LUX_PER_FC, 0.2, ())
    points = Points(500, 8, 51 * LUX_PER_FC)
    answer = Answer("free", catalogue()[1], (), 0.0, 0.0, light, points=points)
    assert "darkest 51 fc (but for what is left out)" in figures_text(answer, UnitSystem.US)
    assert "darkest 12 fc," in figures_text(replace(answer, points=None), UnitSystem.US)


def test_what_an_empty_field_shows_can_be_typed(dialog):
    form = dialog.form
    form.shadow.setEnabled(True)  # nobody stands at this shop's bench
    for row in (form.minimum, form.bench_minimum, form.evenness, form.shadow, form.glare, form.circuits, form.count):
        example = row.line.placeholderText()
        assert example.startswith("such as ")
        type_into(row, example.removeprefix("such as "))
        assert not row.is_wrong
        assert row.line.text(), example
