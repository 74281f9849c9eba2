"""A first shop, drawn from nothing by mouse and keys: ``python -m tests.journeys.first_shop --out DIR``.

From an empty start to an L-shaped room with a door, an overhead door with its tracks, two benches, a cabinet, an array
of 2 x 3 strips on two switches, and a saved file. Pictures of every step go to DIR; the last line is the number of
gestures. The shop is invented.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QSettings, Qt, QTimer
from PySide6.QtWidgets import QApplication, QFileDialog

from app.style import dress
from app.templates import blank
from app.theme import theme
from app.window import MainWindow
from core.plan.file import load_plan
from tests.journeys.hand import Gestures, Hand

__all__ = ["MOST_GESTURES", "draw_first_shop", "main"]

MOST_GESTURES = 45
_MOST_TRIES = 100
CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def draw_first_shop(hand: Hand, path: Path) -> None:
    """Do the whole job; ``path`` is where the plan is saved."""
    hand.shot("empty start")
    _draw_room(hand)
    _put_doors(hand)
    _put_furniture(hand)
    _hang_strips(hand)
    _save(hand, path)


def _tool(hand: Hand, name: str) -> None:
    button = hand.window.tool_row.widgetForAction(hand.window.menus.tools[name])
    hand.click_on(button)


def _draw_room(hand: Hand) -> None:
    """An L of 24 x 22 ft: point the way, type the length."""
    _tool(hand, "room outline")
    hand.type("to 0 by 0")
    way = ((20, 0, "24'"), (24, 10, "12'"), (16, 12, "8'"), (16, 18, "10'"), (5, 22, "16'"))
    for x, y, length in way:
        hand.point(hand.on_plan(x, y))
        hand.type(length)
        hand.shot("a wall typed") if length == "12'" else None
    hand.key(Qt.Key.Key_Return)
    hand.shot("room")


def _put_doors(hand: Hand) -> None:
    _tool(hand, "door")
    hand.click(24, 6)
    _tool(hand, "overhead door")
    hand.drag((2, 0.2), (11, 0.2))
    hand.shot("doors")


def _put_furniture(hand: Hand) -> None:
    _tool(hand, "bench")
    hand.drag((1, 22), (9, 19.5))
    _tool(hand, "bench")
    hand.drag((0, 17), (2.5, 11))
    _tool(hand, "cabinet")
    hand.drag((17, 12), (21, 10.5))
    hand.shot("furniture")


def _hang_strips(hand: Hand) -> None:
    """One strip from the shelf, then rows and columns of it, each row on a switch of its own."""
    window = hand.window
    strips = [item for item in window.shelf.items if item.model is not None and item.model.kind == "strip"]
    strip = next(item for item in strips if 1.1 < item.model.length < 1.4)
    hand.click_on(strip, is_double=True)
    hand.shot("one strip")
    hand.key(Qt.Key.Key_A, CTRL | SHIFT)
    panel = window.canvas.array
    hand.type("2 x 3", enter=False)
    hand.click_on(panel.turned)
    hand.key(Qt.Key.Key_Tab)
    hand.key(Qt.Key.Key_Down)
    hand.shot("array shown")
    hand.key(Qt.Key.Key_Return)
    hand.wait(lambda: window.solver.lighting is not None and not window.solver.is_busy, "the light")
    hand.shot("array hung")


def _save(hand: Hand, path: Path) -> None:
    """Ctrl+S asks for a name; it is typed into the dialog."""
    tries = iter(range(_MOST_TRIES))
    typed = []

    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        if path.exists() or next(tries, None) is None:
            return
        if isinstance(dialog, QFileDialog) and not typed:
            typed.append(path)
            hand.type(str(path))
        elif isinstance(dialog, QFileDialog):
            hand.key(Qt.Key.Key_Return)  # the first one closed a list of completions
        QTimer.singleShot(100, answer)

    QTimer.singleShot(20, answer)
    hand.key(Qt.Key.Key_S, CTRL)
    hand.wait(lambda: path.exists() and not hand.window.document.is_dirty, "the file")
    hand.shot("saved")


def main(given: list[str] | None = None) -> int:
    """Run the journey; 0 if it was done with few enough gestures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", required=True, type=Path, metavar="DIR", help="folder for pictures and the plan")
    parser.add_argument("--dark", action="store_true", help="with the dark colours")
    asked = parser.parse_args(given)
    asked.out.mkdir(parents=True, exist_ok=True)
    if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")) and sys.platform.startswith("linux"):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    QCoreApplication.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    app = QApplication(["candlebench"])
    with tempfile.TemporaryDirectory() as settings:
        # Settings of the user stay as they are.
        QSettings.setDefaultFormat(QSettings.Format.IniFormat)
        QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, settings)
        QSettings().setValue("window/colours", "dark" if asked.dark else "light")
        dress(app, theme(asked.dark))
        window = MainWindow(blank("Garage"))
        gestures = Gestures(app)
        window.show()
        window.activateWindow()
        window.canvas.setFocus()
        hand = Hand(window, asked.out)
        hand.pump()
        path = asked.out.resolve() / "first-shop.json"
        path.unlink(missing_ok=True)
        draw_first_shop(hand, path)
        plan = load_plan(path)
        count = gestures.count
        print(f"corners {len(plan.room.outline)}, openings {len(plan.room.openings)}, on the ceiling"
              f" {len(plan.room.keep_outs)}, furniture {len(plan.furniture)}, fixtures {len(plan.fixtures)},"
              f" switches {len({f.group for f in plan.fixtures})}")  # fmt: skip
        window.close()
        window.deleteLater()
        app.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    print(f"gestures: {count}")
    return 0 if count <= MOST_GESTURES else 1


if __name__ == "__main__":
    sys.exit(main())
