"""The window as a whole: shelf, undo by name, theme, faults."""

from __future__ import annotations

import logging
import sys
import threading
from dataclasses import replace

import colour
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMessageBox, QPushButton
from pytestqt.qtbot import QtBot

from app.faults import Faults
from app.theme import font, group_colour, load_fonts, theme
from app.window import MainWindow

LETTERS = "ABCDEFGH"


def test_a_double_click_places_a_thing_in_the_middle_and_the_next_beside_it(window: MainWindow) -> None:
    item = next(item for item in window.shelf.items if item.model is not None)
    for _ in range(2):
        QTest.mouseDClick(item, Qt.MouseButton.LeftButton)
    one, other = window.document.plan.fixtures[-2:]
    xs, ys = zip(*window.document.plan.room.outline, strict=True)
    assert one.x == pytest.approx((min(xs) + max(xs)) / 2)
    assert one.y == pytest.approx((min(ys) + max(ys)) / 2)
    assert (one.x, one.y) != (other.x, other.y)
    assert window.document.selection == {other.id}


@pytest.mark.parametrize("what", ["bench", "machine", "cabinet"])
def test_enter_on_the_shelf_places_furniture(window: MainWindow, what: str) -> None:
    item = next(item for item in window.shelf.items if item.thing["what"] == what)
    QTest.keyClick(item, Qt.Key.Key_Return)
    assert window.document.plan.furniture[-1].kind == what
    assert window.document.undo_text == f"Add {what}"


def test_undo_and_redo_are_named_and_go_there_and_back(window: MainWindow) -> None:
    first = window.document.plan
    assert not window.menus.undo.isEnabled()
    window.bringing_in.place({"what": "bench"})
    last = window.document.plan
    assert window.menus.undo.text() == "Undo: Add bench"
    QTest.mouseClick(window.title_row.undo, Qt.MouseButton.LeftButton)
    assert window.document.plan == first
    assert window.menus.redo.text() == "Redo: Add bench"
    QTest.mouseClick(window.title_row.redo, Qt.MouseButton.LeftButton)
    assert window.document.plan == last


def test_every_button_has_a_name_for_screen_readers(window: MainWindow) -> None:
    nameless = [b for b in window.findChildren(QPushButton) if not (b.accessibleName() or b.text())]
    assert nameless == []


def test_a_fault_is_told_once_logged_and_the_window_lives(window: MainWindow, caplog: pytest.LogCaptureFixture) -> None:
    faults = Faults(parent=window)
    faults.happened.connect(window.tell_fault)
    with caplog.at_level(logging.ERROR, "candlebench"):
        for number in range(3):
            try:
                raise ValueError(f"broken {number}")
            except ValueError as problem:
                faults.report(problem)
    boxes = [box for box in window.findChildren(QMessageBox) if box.isVisible()]
    assert len(boxes) == 1
    assert "Your plan is still open" in boxes[0].text()
    assert "broken" not in boxes[0].text()
    assert "ValueError: broken 2" in caplog.text
    assert window.isVisible()
    boxes[0].close()


def test_hooks_are_given_back() -> None:
    before = sys.excepthook
    faults = Faults()
    faults.install()
    assert sys.excepthook != before
    faults.remove()
    assert sys.excepthook == before


def test_the_bundled_family_is_used_in_three_sizes(window: MainWindow) -> None:
    family = load_fonts()
    sizes = {role: font(role).pixelSize() for role in ("small", "body", "figure")}  # type: ignore[arg-type]
    assert sizes == {"small": 11, "body": 13, "figure": 24}
    assert {font("body").family(), font("figure", True).family()} == {family}
    assert window.title_row.undo.font().family() == family


@pytest.mark.parametrize("dark", [False, True])
def test_text_keeps_the_contrast_of_wcag(dark: bool) -> None:
    """WCAG 2.1, success criterion 1.4.3: text has at least 4.5:1 against what it stands on."""
    colours = theme(dark)
    for ink in (colours.ink, colours.muted, colours.accent, colours.warn, colours.danger, colours.good):
        for ground in (colours.panel, colours.paper, colours.entry):
            assert contrast(ink, ground) >= 4.5, (ink.name(), ground.name())
    for letter in LETTERS:
        assert contrast(group_colour(letter, dark), colours.panel) >= 4.5, letter


@pytest.mark.parametrize("dark", [False, True])
def test_groups_can_be_told_apart_by_all_eyes(dark: bool) -> None:
    """Seen normally and with full protan, deutan and tritan deficiency (Machado et al. 2009, through colour-science):
    the first four groups differ by 15, all eight by 9 (CIEDE2000); about 2.3 is just noticeable (from memory).
    """
    sets = [np.array([group_colour(c, dark).getRgbF()[:3] for c in LETTERS[:count]]) for count in (4, 8)]
    for colours, least in zip(sets, (15.0, 9.0), strict=True):
        for seen in as_seen(colours):
            lab = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(seen))
            far = colour.delta_E(lab[:, None, :], lab[None, :, :], method="CIE 2000")
            assert far[~np.eye(len(colours), dtype=bool)].min() >= least


def as_seen(colours: np.ndarray) -> list[np.ndarray]:
    linear = colour.cctf_decoding(colours)
    views = [colours]
    for kind in ("Protanomaly", "Deuteranomaly", "Tritanomaly"):
        matrix = colour.blindness.matrix_cvd_Machado2009(kind, 1.0)
        views.append(colour.cctf_encoding(np.clip(linear @ matrix.T, 0.0, 1.0)))
    return views


def contrast(one: QColor, other: QColor) -> float:
    """WCAG 2.1 contrast ratio from relative luminance (sRGB)."""
    lights = [float(colour.cctf_decoding(np.array(c.getRgbF()[:3])) @ [0.2126, 0.7152, 0.0722]) for c in (one, other)]
    return (max(lights) + 0.05) / (min(lights) + 0.05)


def test_an_error_in_a_thread_is_told_on_the_window(window: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    faults = Faults(parent=window)
    faults.happened.connect(window.tell_fault)
    faults.install()
    try:
        thread = threading.Thread(target=lambda: int("x"))
        thread.start()
        thread.join()
    finally:
        faults.remove()
    qtbot.waitUntil(lambda: any(box.isVisible() for box in window.findChildren(QMessageBox)))
    assert window.isVisible()
    next(box for box in window.findChildren(QMessageBox) if box.isVisible()).close()


def test_an_error_inside_a_key_press_is_told_and_the_next_key_works(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    faults = Faults(parent=window)
    faults.happened.connect(told.append)
    faults.install()
    try:
        with monkeypatch.context() as broken:
            broken.setattr(window.switches, "toggle", lambda _letter: int("x"))
            QTest.keyClick(window.canvas, Qt.Key.Key_A)
    finally:
        faults.remove()
    assert len(told) == 1
    QTest.keyClick(window.canvas, Qt.Key.Key_A)
    assert window.switches.levels["A"] == 0.0


def test_a_narrow_window_cuts_the_name_and_not_the_menus(window: MainWindow) -> None:
    name = "Metal, wood and instruments in the barn"
    window.document.apply("Rename", replace(window.document.plan, name=name))
    window.resize(1040, 640)
    QTest.qWait(50)
    assert window.bar.width() >= window.bar.sizeHint().width()  # else the last menus are behind an arrow
    row = window.title_row
    for button in (row.units, row.undo, row.redo):
        assert button.width() >= button.sizeHint().width()


def test_the_first_light_of_a_new_window_shows_its_progress(window: MainWindow, qtbot: QtBot) -> None:
    assert window.solver.is_busy
    assert window.status.bar.isVisible() or window.status._patience.isActive()  # short work does not flicker
    qtbot.waitUntil(lambda: not window.solver.is_busy, timeout=20_000)
    assert not window.status.bar.isVisible()
    assert not window.status._patience.isActive()
