"""The inspector's pages for openings, ceiling obstacles, joists, notes and the picture, typed into as a person does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.window import MainWindow
from core.plan import JoistZone, KeepOut, Note, Opening
from core.plan.edits import added, find, with_door_gear
from core.units import FOOT, INCH
from tests.app.shell.conftest import type_into


@pytest.fixture
def fitted_out(window: MainWindow) -> MainWindow:
    """The small shop with a door, an overhead door and its gear, a duct, joists and a note."""
    plan = window.document.plan
    plan = replace(plan, room=replace(plan.room, height=9 * FOOT))
    things = (
        Opening("door-1", "door", 1, 2 * FOOT, 3 * FOOT, 80 * INCH),
        Opening("gate-1", "overhead door", 0, 4 * FOOT, 8 * FOOT, 7 * FOOT),
        KeepOut("hatch-1", "hatch", 3 * FOOT, 12 * FOOT, 2 * FOOT, 3 * FOOT),
        JoistZone("joists-1", 0.0, 16 * INCH),
        Note("note-1", 5 * FOOT, 5 * FOOT, "Panel"),
    )
    for thing in things:
        plan = added(plan, thing)
    window.document.replace(with_door_gear(plan, "gate-1"))
    return window


def choose(choice, text: str) -> None:  # type: ignore[no-untyped-def]
    """Pick an entry of a list as the mouse does."""
    index = choice.box.findText(text)
    assert index >= 0
    choice.box.setCurrentIndex(index)
    choice.box.activated.emit(index)


def thing(window: MainWindow, identity: str):  # type: ignore[no-untyped-def]
    return find(window.document.plan, identity)


def test_an_overhead_door_is_opened_and_its_gear_follows_its_width(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.openings
    window.document.select(["gate-1"])
    assert form.isVisible()
    assert window.inspector.title.text() == "Overhead door"
    assert not form.gear.isVisible()
    choose(form.raised, "open, under the ceiling")
    assert thing(window, "gate-1").is_open
    left = next(k for k in window.document.plan.room.keep_outs if k.name == "Left track")
    type_into(form.wide.line, "9'")
    assert thing(window, left.id).x == pytest.approx(left.x + FOOT)
    type_into(form.high.line, "10'")
    assert "above the ceiling" in form.high.why.text()
    type_into(form.wide.line, "30'")
    assert "wall ends" in form.wide.why.text()


def test_gear_hangs_from_the_ceiling_wherever_that_is(fitted_out: MainWindow) -> None:
    window = fitted_out
    window.document.select([])
    type_into(window.inspector.room_form.ceiling_height.line, "10'")
    drops = {round(k.drop / FOOT, 6) for k in window.document.plan.room.keep_outs if k.door}
    assert drops == {3.0}  # down to the head of a 7 ft door


def test_missing_gear_can_be_hung(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.openings
    plan = window.document.plan
    window.document.apply("Strip", replace(plan, room=replace(plan.room, keep_outs=())))
    window.document.select(["gate-1"])
    form.gear.click()
    assert len(window.document.plan.room.keep_outs) == 3


def test_a_door_is_hinged_on_its_other_jamb_and_moved(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.openings
    window.document.select(["door-1"])
    assert not form.raised.isVisible()
    choose(form.hinge, "its end")
    type_into(form.start.line, "5' 6")
    assert (thing(window, "door-1").hinge, thing(window, "door-1").start) == ("end", pytest.approx(5.5 * FOOT))


def test_a_door_opens_outwards_or_slides(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.openings
    window.document.select(["door-1"])
    choose(form.swing, "outwards")
    assert thing(window, "door-1").swing == "out"
    assert form.hinge.isVisible()
    choose(form.swing, "sideways, along the wall")
    assert thing(window, "door-1").swing == "along"
    assert not form.hinge.isVisible()
    window.document.select(["gate-1"])
    assert not form.swing.isVisible()


def test_a_hatch_becomes_a_duct_that_hangs_down(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.keep_outs
    window.document.select(["hatch-1"])
    choose(form.kind, "duct")
    assert thing(window, "hatch-1").drop == pytest.approx(10 * INCH)  # as ducts usually do
    type_into(form.drop.line, "14 in")
    choose(form.kind, "beam")
    assert thing(window, "hatch-1").drop == pytest.approx(14 * INCH)  # what was typed stays
    type_into(form.placing.sides["left"].line, "6'")
    assert thing(window, "hatch-1").x == pytest.approx(6 * FOOT)


def test_gear_placed_by_a_typed_distance_follows_its_door_no_more(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.keep_outs
    opener = next(k for k in window.document.plan.room.keep_outs if k.kind == "opener")
    window.document.select([opener.id])
    assert "follows" in form.note.text()
    type_into(form.placing.sides["left"].line, "10'")
    assert thing(window, opener.id).door == ""
    assert not form.note.isVisible()


def test_joists_are_spaced_turned_and_placed(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.joists
    window.document.select(["joists-1"])
    choose(form.apart, "24 in on centre")
    assert thing(window, "joists-1").spacing == pytest.approx(24 * INCH)
    choose(form.way, "up the sheet")
    assert thing(window, "joists-1").direction_deg == 90.0
    type_into(form.first.line, "10 in")
    assert thing(window, "joists-1").offset == pytest.approx(10 * INCH)
    choose(form.apart, "otherwise")
    type_into(form.spacing.line, "19.2 in")
    assert thing(window, "joists-1").spacing == pytest.approx(19.2 * INCH)
    form.remove.click()
    assert window.document.plan.room.joists == ()


def test_a_note_in_two_lines(fitted_out: MainWindow) -> None:
    window, form = fitted_out, fitted_out.inspector.other_forms.notes
    window.document.select(["note-1"])
    type_into(form.text.line, "Panel / 60 A")
    assert thing(window, "note-1").text == "Panel\n60 A"
    assert form.text.line.text() == "Panel / 60 A"
    type_into(form.letter.line, "6 in")
    assert thing(window, "note-1").letter == pytest.approx(6 * INCH)


def test_things_of_several_kinds_show_no_page(fitted_out: MainWindow) -> None:
    fitted_out.document.select(["note-1", "door-1"])
    assert not fitted_out.inspector.other_forms.isVisible()
    fitted_out.document.select([])
    assert fitted_out.inspector.room_form.isVisible()
