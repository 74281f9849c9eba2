"""The start of the program: `candlebench [PLAN.json]` opens the window, `report` and `suggest` work without one.

Order of the start: read the command line; see whether the system has what Qt needs; only then load Qt, dress the
application, catch faults, read the plan, show the window. The end: the window is destroyed by hand while everything it
leans on still lives, because the order in which the interpreter would take the objects down is not a safe one.
"""

from __future__ import annotations

import argparse
import logging
import os
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from app.needs import missing_libraries, no_display, what_to_install

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from app.window import MainWindow
    from core.light.field import Lighting
    from core.plan import Plan

__all__ = ["main"]

_COMMANDS = ("report", "suggest")
_FAILED = 2


class _Refused(Exception):
    """The command cannot be carried out; the text is the one line for the user."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise _Refused(f"{message}. See candlebench --help.")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; return its exit code: 0, or 2 where something is wrong with what was asked."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        if words and words[0] == "suggest":
            return _suggest(words[1:])
        if words and words[0] in _COMMANDS:
            return _report(_report_parser().parse_args(words[1:]))
        if words and not words[0].startswith("-"):
            _refuse_unknown(words[0])
        asked = _window_parser().parse_args(words)
        return _window(Path(asked.plan) if asked.plan is not None else None)
    except _Refused as problem:
        print(f"candlebench: {_one_line(str(problem))}", file=sys.stderr)
    except KeyboardInterrupt:
        print("candlebench: stopped.", file=sys.stderr)
    except Exception as problem:
        # A fault of the program: still one line, with the stack for whoever asks for it.
        logging.getLogger("candlebench").debug("unexpected problem", exc_info=True)
        print(f"candlebench: unexpected problem: {_one_line(repr(problem))}", file=sys.stderr)
    return _FAILED


def _window_parser() -> _Parser:
    parser = _Parser(
        prog="candlebench",
        description="Plan the lights of a home workshop.",
        epilog="candlebench report PLAN.json --out DIR writes figures, light, picture and list without a window; "
        "candlebench suggest PLAN.json --min-fc N says where fixtures could go.",
    )
    parser.add_argument("plan", nargs="?", metavar="PLAN.json", help="the plan to open")
    return parser


def _report_parser() -> _Parser:
    parser = _Parser(prog="candlebench report", description="Write everything about a plan into a folder.")
    parser.add_argument("plan", metavar="PLAN.json")
    parser.add_argument("--out", required=True, metavar="DIR", help="folder, made if it is not there")
    return parser


def _suggest(words: Sequence[str]) -> int:
    from app.suggest.command import CommandError, add_options, run

    parser = _Parser(prog="candlebench suggest", description="Say where fixtures could go, and how few will do.")
    add_options(parser)
    asked = parser.parse_args(words)
    logging.basicConfig(level=logging.CRITICAL)
    try:
        run(asked, sys.stdout)
    except CommandError as problem:
        raise _Refused(str(problem)) from problem
    return 0


def _refuse_unknown(given: str) -> None:
    path = Path(given)
    if not path.exists() and path.suffix.lower() != ".json":
        raise _Refused(f"there is no command and no plan file called '{given}'. See candlebench --help.")


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _check_system(window: bool) -> None:
    missing = missing_libraries(window)
    if missing:
        raise _Refused(what_to_install(missing))
    if window and no_display():
        raise _Refused(
            "there is no screen to open a window on (neither DISPLAY nor WAYLAND_DISPLAY is set). "
            "candlebench report PLAN.json --out DIR needs none."
        )


def _application() -> QApplication:
    from PySide6.QtWidgets import QApplication

    running = QApplication.instance()
    app = running if isinstance(running, QApplication) else QApplication(["candlebench"])
    app.setApplicationName("candlebench")
    app.setApplicationDisplayName("Candlebench")
    return app


def _window(path: Path | None) -> int:
    _check_system(window=True)
    from PySide6.QtCore import QEvent, qInstallMessageHandler

    from app.faults import Faults, Interrupt, route_qt_messages, start_log
    from app.menus import wanted_colours
    from app.style import dress
    from app.theme import is_dark, theme

    app = _application()
    faults = Faults(start_log())
    told_before = route_qt_messages()
    faults.install()
    dress(app, theme(is_dark(wanted_colours())))
    try:
        window = _opened_window(path)
        faults.happened.connect(window.tell_fault)
        interrupt = Interrupt(app)
        interrupt.asked.connect(window.close)
        code = app.exec()
        interrupt.remove()
        window.checks.shutdown()
        window.solver.shutdown()
        window.deleteLater()
        app.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    finally:
        faults.remove()
        qInstallMessageHandler(told_before)
    return code


def _opened_window(path: Path | None) -> MainWindow:
    """Return the shown window with the plan that was asked for, that of last time, or a demo shop."""
    from PySide6.QtCore import QTimer

    from app.files import demo_plan, demo_shops, recent_files
    from app.panels.first_steps import are_wanted
    from app.templates import TEMPLATES, blank
    from app.window import MainWindow
    from core.plan.file import PlanFileError, load_plan

    wanted = path or next(iter(recent_files()), None)
    try:
        plan = load_plan(wanted) if wanted is not None else None
    except PlanFileError:
        plan = None
    if plan is not None:
        window = MainWindow(plan, wanted)
    else:
        shops = demo_shops()
        window = MainWindow(demo_plan(next(iter(shops.values()))) if shops else blank(TEMPLATES[0]))
        if are_wanted():
            window.show_first_steps()
    window.show()
    if plan is None and path is not None:
        window.files.open_path(path)  # says in the window what is wrong
    else:
        QTimer.singleShot(0, window.files.offer_unsaved)
    return window


def _report(asked: argparse.Namespace) -> int:
    _check_system(window=False)
    if no_display():
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    logging.basicConfig(level=logging.CRITICAL)
    from PySide6.QtCore import qInstallMessageHandler

    from app.checks.report import checked, write_checks
    from app.faults import route_qt_messages
    from app.prints.ceiling.book import report_ceiling_sheet
    from app.prints.picture import save_picture
    from app.prints.wiring.book import report_permit_sheet, report_settings_card
    from core.light.engine import LightEngine
    from core.plan.file import PlanFileError, load_plan
    from core.report import ReportError, write_report

    told_before = route_qt_messages()
    try:
        plan = load_plan(asked.plan)
        _application()
        engine, folder = LightEngine(), Path(asked.out)
        done = cache(lambda: checked(plan, engine))

        def ceiling(drawn: Plan, lighting: Lighting, path: Path) -> None:
            report_ceiling_sheet(drawn, lighting, path, done()[1], engine.solve)

        write_report(
            plan,
            folder,
            engine,
            save_picture,
            {
                "ceiling-sheet.pdf": ceiling,
                "permit-sheet.pdf": report_permit_sheet,
                "settings-card.pdf": report_settings_card,
            },
        )
        write_checks(plan, folder, engine, done())
    except (PlanFileError, ReportError) as problem:
        raise _Refused(str(problem)) from problem
    finally:
        qInstallMessageHandler(told_before)
    return 0


if __name__ == "__main__":
    sys.exit(main())
