"""What is asked when a plan cannot go where it should: every question has a way out that loses nothing."""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from core.plan.stamp import Stamp

__all__ = ["WayOut", "ask_after_change", "ask_after_failure", "free_name"]


class WayOut(Enum):
    """What the user wants instead."""

    AGAIN = "Try again"
    ELSEWHERE = "Save elsewhere…"
    BOTH = "Keep both"
    OVER = "Write over it"
    NOT_NOW = "Do not save now"


_Role = QMessageBox.ButtonRole


def ask_after_failure(problem: str, parent: QWidget) -> WayOut:
    """Say why the plan was not saved; ask whether to try again or to save elsewhere."""
    return _asked(
        "The plan was not saved",
        problem,
        "Your work is still open. A copy of it is kept until it is saved.",
        {
            WayOut.ELSEWHERE: _Role.AcceptRole,
            WayOut.AGAIN: _Role.ActionRole,
            WayOut.NOT_NOW: _Role.RejectRole,
        },
        parent,
    )


def ask_after_change(path: Path, stamp: Stamp, parent: QWidget) -> WayOut:
    """Say that another program changed the file; ask whether to keep both or to write over it."""
    when = f"{stamp.written.astimezone():%H:%M:%S}"
    return _asked(
        "The file was changed meanwhile",
        f"{path.name} was changed at {when} by another program, after it was opened here.",
        f"Keep both saves your plan beside it as {free_name(path).name}. Write over it loses what the other "
        "program wrote.",
        {
            WayOut.BOTH: _Role.AcceptRole,
            WayOut.OVER: _Role.DestructiveRole,
            WayOut.NOT_NOW: _Role.RejectRole,
        },
        parent,
    )


def free_name(path: Path) -> Path:
    """Return a name beside a file that is not taken: 'shop 2.json' for 'shop.json'."""
    number = 2
    while (made := path.with_name(f"{path.stem} {number}{path.suffix}")).exists():
        number += 1
    return made


def _asked(title: str, text: str, more: str, ways: dict[WayOut, QMessageBox.ButtonRole], parent: QWidget) -> WayOut:
    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Warning)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setWindowTitle(title)
    box.setText(text)
    box.setInformativeText(more)
    buttons = {way: box.addButton(way.value, role) for way, role in ways.items()}
    box.setDefaultButton(buttons[next(iter(ways))])
    box.setEscapeButton(buttons[WayOut.NOT_NOW])
    box.exec()
    clicked = box.clickedButton()
    way = next((way for way, button in buttons.items() if button is clicked), WayOut.NOT_NOW)
    box.deleteLater()
    return way
