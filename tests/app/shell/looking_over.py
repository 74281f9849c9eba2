"""Looks over a window as a careful eye does: cut texts, controls without a name, controls that no key reaches.

``python -m tests.app.shell.looking_over light:1280x800 dark:1040x640`` opens the demo shop in each of these colours and
sizes and prints every cut text, one line each; with `QT_SCALE_FACTOR` set, at that scale.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator

from PySide6.QtCore import QEvent, QPoint, QRect, QSettings, Qt
from PySide6.QtGui import QAccessible, QFontMetrics, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QCheckBox,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QRadioButton,
    QScrollBar,
    QSlider,
    QTextEdit,
    QToolButton,
    QWidget,
)

from app.canvas.canvas import PlanCanvas

__all__ = ["CONTROLS", "cut_texts", "nameless", "reached_by_tab", "said_of", "tipless", "unreached"]

CONTROLS = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QSlider,
    QTextEdit,
)
_MORE_TOOLS = "qt_toolbar_ext_button"  # all of its tools are in the Draw menu, which Alt+D opens
_PATIENCE = 600  # presses of Tab


def said_of(widget: QWidget) -> str:
    """Return what a widget is, for a message."""
    text = widget.text() if isinstance(widget, QLabel | QAbstractButton | QLineEdit) else ""
    return f"{type(widget).__name__} {widget.objectName()!r} {widget.accessibleName() or text!r}"


def controls(top: QWidget) -> Iterator[QWidget]:
    """Yield what can be worked and is shown now; not the inner parts of other controls."""
    for widget in top.findChildren(QWidget):
        inner = isinstance(widget.parent(), CONTROLS) and not isinstance(widget.parent(), QAbstractItemView)
        is_part = inner or isinstance(widget, QScrollBar | QHeaderView) or widget.objectName().startswith("qt_")
        if isinstance(widget, CONTROLS) and widget.isVisible() and widget.window() is top and not is_part:
            yield widget


def nameless(top: QWidget) -> list[str]:
    """Return the controls for which a screen reader finds no name."""
    found = []
    for widget in controls(top):
        spoken = QAccessible.queryAccessibleInterface(widget)
        if spoken is None or not spoken.text(QAccessible.Text.Name):
            found.append(said_of(widget))
    return found


def tipless(top: QWidget) -> list[str]:
    """Return the fields, lists and sliders that do not say what goes into them."""
    kinds = (QLineEdit, QComboBox, QSlider, QAbstractSpinBox)
    return [said_of(widget) for widget in controls(top) if isinstance(widget, kinds) and not widget.toolTip()]


def reached_by_tab(top: QWidget) -> set[QWidget]:
    """Press Tab until everything was met that can be; return what had the focus.

    On the plan Tab selects one thing after another, and the inspector changes with each: the walk ends beside the plan,
    where what is shown is what was walked through.
    """
    met: set[QWidget] = set()
    pressed = 0
    while pressed < _PATIENCE or (isinstance(QApplication.focusWidget(), PlanCanvas) and pressed < 2 * _PATIENCE):
        pressed += 1
        here = QApplication.focusWidget() or top
        QApplication.sendEvent(here, QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Tab, Qt.KeyboardModifier.NoModifier))
        now = QApplication.focusWidget()
        if now is not None:
            met.add(now)
    return met


def unreached(top: QWidget) -> list[str]:
    """Return the controls that Tab does not come to."""
    met = reached_by_tab(top)
    groups = {w.group() for w in met if isinstance(w, QAbstractButton) and w.group() is not None}
    found = []
    for widget in controls(top):
        # Arrow keys go on within a group of which Tab comes to one.
        in_group = isinstance(widget, QRadioButton) or (
            isinstance(widget, QAbstractButton) and widget.group() in groups
        )
        if widget.isEnabled() and widget not in met and not in_group:
            found.append(said_of(widget))
    return found


def cut_texts(top: QWidget) -> list[str]:
    """Return the labels and buttons whose text finds too little room.

    What ends in an ellipsis on purpose says the rest in its tooltip. What lies outside a scrolled area can be scrolled
    to, but has to be whole there.
    """
    found = []
    for widget in top.findChildren(QWidget):
        if widget.isVisible() and widget.window() is top and _is_cut(widget):
            found.append(f"{said_of(widget)}: {_have(widget)} for {_need(widget)}")
    return found


def _is_cut(widget: QWidget) -> bool:
    if widget.objectName() == _MORE_TOOLS or not isinstance(widget, QLabel | QPushButton | QToolButton | QCheckBox):
        return False
    text = widget.text()
    if not text or (isinstance(widget, QLabel) and widget.pixmap() and not widget.pixmap().isNull()):
        return False
    if text.endswith("…") and widget.toolTip():
        return False
    have, need = _have(widget), _need(widget)
    return have[0] + 1 < need[0] or have[1] + 1 < need[1]


def _have(widget: QWidget) -> tuple[int, int]:
    """Return the room that is really there: parents that do not scroll may cut, too."""
    seen = widget.rect()
    parent = widget.parentWidget()
    while parent is not None and not parent.isWindow() and parent.objectName() != "qt_scrollarea_viewport":
        seen &= QRect(widget.mapFrom(parent, QPoint(0, 0)), parent.size())
        parent = parent.parentWidget()
    return seen.width(), seen.height()


def _need(widget: QWidget) -> tuple[int, int]:
    if isinstance(widget, QLabel) and widget.wordWrap():
        longest = max(QFontMetrics(widget.font()).horizontalAdvance(word) for word in widget.text().split() or [""])
        return longest, widget.heightForWidth(widget.width())
    if isinstance(widget, QLabel):
        box = QFontMetrics(widget.font()).size(0, widget.text())
        return box.width(), box.height()
    if isinstance(widget, QPushButton | QToolButton):
        # The style's padding may shrink to nothing, the text may not.
        metrics = QFontMetrics(widget.font())
        text = (
            widget.defaultAction().iconText()
            if isinstance(widget, QToolButton) and widget.defaultAction()
            else widget.text()
        )
        return metrics.horizontalAdvance(text.replace("&", "")), metrics.height()
    hint = widget.sizeHint()
    return hint.width(), hint.height()


def _look_over(app: QApplication, colours: str, size: str) -> set[str]:
    """Open the demo shop, select one of everything after the other, and return every cut text."""
    from app.files import demo_plan
    from app.window import MainWindow

    QSettings().setValue("window/colours", colours)
    window = MainWindow(demo_plan("bicycle_garage.json"))
    if window.theme.dark is not (colours == "dark"):
        raise RuntimeError(f"the window did not take the {colours} colours")
    window.show_first_steps()
    window.resize(*(int(side) for side in size.split("x")))
    window.show()
    plan = window.document.plan
    lines = set()
    for chosen in ((), plan.fixtures[0].id, plan.furniture[0].id, plan.room.openings[0].id, plan.room.keep_outs[0].id):
        window.document.select([chosen] if chosen else [])
        for _ in range(5):
            app.processEvents()
        lines |= set(cut_texts(window))
    window.checks.shutdown()
    window.close()
    window.deleteLater()
    return lines


def _main() -> None:
    import tests.conftest as alone  # settings and data of the tests' own
    from app.__main__ import _application

    assert alone
    app = _application()
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, tempfile.mkdtemp())
    for asked in sys.argv[1:]:
        colours, size = asked.split(":")
        for line in sorted(_look_over(app, colours, size)):
            print(asked, line)


if __name__ == "__main__":
    _main()
