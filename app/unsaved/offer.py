"""After the program was killed: say what was found, with both times, and ask what is to be done with it."""

from __future__ import annotations

from datetime import datetime
from enum import Enum
from pathlib import Path

from PySide6.QtCore import QDate, QLocale, Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from app.unsaved.copies import Work
from core.plan.stamp import stamp_of

__all__ = ["Wish", "ask_about", "said_about"]


class Wish(Enum):
    """What the user wants done with work that was left behind."""

    OPEN = "Open the unsaved work"
    LATER = "Ask again next time"
    DROP = "Throw it away"


def ask_about(work: Work, file: Path | None, parent: QWidget) -> Wish:
    """Ask; Esc is the answer that changes nothing."""
    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Question)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setWindowTitle("Unsaved work was found")
    title, more = said_about(work, file)
    box.setText(title)
    box.setInformativeText(more)
    role = QMessageBox.ButtonRole
    roles = {Wish.OPEN: role.AcceptRole, Wish.LATER: role.RejectRole, Wish.DROP: role.DestructiveRole}
    buttons = {wish: box.addButton(wish.value, kind) for wish, kind in roles.items()}
    box.setDefaultButton(buttons[Wish.OPEN])
    box.setEscapeButton(buttons[Wish.LATER])
    box.exec()
    clicked = box.clickedButton()
    wish = next((wish for wish, button in buttons.items() if button is clicked), Wish.LATER)
    box.deleteLater()
    return wish


def said_about(work: Work, file: Path | None) -> tuple[str, str]:
    """Return what is said: what was found, and when both were written."""
    title = f"The program ended before '{work.plan.name}' was saved. What you had drawn was kept."
    kept = f"Unsaved work: kept {_shown(work.written)}."
    if file is None:
        return title, f"It was not in a file yet.\n{kept}"
    stamp = stamp_of(file)
    if stamp is None:
        return title, f"{file.name}: the file cannot be read now.\n{kept}"
    later = "\nThe file was saved after that: look at both before you throw one away."
    return title, f"{file.name}: saved {_shown(stamp.written)}.\n{kept}{later if stamp.written > work.written else ''}"


def _shown(moment: datetime) -> str:
    local = moment.astimezone()
    day = QLocale().toString(QDate(local.year, local.month, local.day), QLocale.FormatType.ShortFormat)
    return f"{day} at {local:%H:%M:%S}"
