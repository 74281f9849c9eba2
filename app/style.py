"""The widgets' style sheet and palette, made from the theme: hairlines, quiet buttons, strong focus."""

from __future__ import annotations

from importlib.resources import files

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from app.theme import Theme, font

__all__ = ["dress", "palette", "restyle", "sheet"]

_WORN = "candlebench_dark"

_SHEET = """
QMainWindow, QDialog, QMessageBox {{ background: {panel}; }}
QWidget {{ color: {ink}; }}
QWidget#canvas_frame {{ background: {paper}; }}
QFrame[role="rule"] {{ background: {hairline}; border: none; max-height: 1px; min-height: 1px; }}
QFrame[role="upright"] {{ background: {hairline}; border: none; max-width: 1px; min-width: 1px; }}
QLabel {{ background: transparent; }}
QLabel[role="muted"] {{ color: {muted}; }}
QLabel[role="warn"] {{ color: {warn}; }}
QLabel[role="danger"] {{ color: {danger}; }}
QLabel[role="good"] {{ color: {good}; }}

QLineEdit, QPlainTextEdit, QTextBrowser, QComboBox, QAbstractSpinBox {{
    background: {entry}; border: 1px solid {edge}; border-radius: 4px; padding: 3px 7px;
    selection-background-color: {accent}; selection-color: {accent_ink};
}}
QLineEdit:focus, QPlainTextEdit:focus, QTextBrowser:focus, QComboBox:focus, QAbstractSpinBox:focus {{
    border: 2px solid {accent}; padding: 2px 6px;
}}
QLineEdit[wrong="true"], QLineEdit[wrong="true"]:focus {{ border: 2px solid {danger}; padding: 2px 6px; }}
QLineEdit:disabled, QComboBox:disabled {{ color: {muted}; background: {panel}; }}
QComboBox {{ padding-right: 2px; }}
QComboBox:focus {{ padding-right: 1px; }}
QComboBox::drop-down {{ border: none; width: 22px; subcontrol-origin: padding; subcontrol-position: right; }}
QComboBox::down-arrow {{ image: url({icons}/chevron-{mode}.svg); width: 12px; height: 12px; }}
QComboBox QAbstractItemView {{
    background: {entry}; border: 1px solid {edge}; outline: none; padding: 2px;
    selection-background-color: {hover}; selection-color: {ink};
}}

QPushButton {{
    background: {entry}; border: 1px solid {edge}; border-radius: 4px; padding: 4px 12px; min-height: 18px;
}}
QPushButton:hover {{ background: {hover}; }}
QPushButton:pressed {{ background: {hairline}; }}
QPushButton:focus {{ border: 2px solid {accent}; padding: 3px 11px; }}
QPushButton:disabled {{ color: {muted}; border-color: {hairline}; background: {panel}; }}
QPushButton[role="quiet"], QToolButton {{
    background: transparent; border: 1px solid transparent; border-radius: 4px; padding: 4px 8px;
}}
QPushButton[role="link"] {{
    background: transparent; border: 1px solid transparent; border-radius: 4px; padding: 4px 4px;
    color: {accent}; text-align: left;
}}
QPushButton[role="quiet"]:hover, QPushButton[role="link"]:hover, QToolButton:hover {{ background: {hover}; }}
QPushButton[role="quiet"]:focus, QToolButton:focus {{ border: 2px solid {accent}; padding: 3px 7px; }}
QPushButton[role="link"]:focus {{ border: 2px solid {accent}; padding: 3px 3px; }}
QPushButton[role="quiet"]:disabled, QToolButton:disabled {{ color: {faint}; }}
QPushButton[role="quiet"]:checked {{ color: {accent}; }}
QPushButton[role="kept"] {{ border-radius: 11px; padding: 1px 10px; min-height: 18px; text-align: left; }}
QPushButton[role="kept"]:focus {{ padding: 0px 9px; }}
QPushButton[role="kept"]:checked {{ border: 1px solid {accent}; color: {accent}; }}
QPushButton[role="kept"]:checked:focus {{ border: 2px solid {accent}; }}
QToolButton:checked {{ color: {accent}; }}
QToolBar {{ background: {paper}; border: none; padding: 2px 8px; spacing: 0; }}
QToolBar QToolButton#qt_toolbar_ext_button {{
    image: url({icons}/chevron-{mode}.svg); min-width: 14px; max-width: 14px; padding: 0; margin-right: 6px;
}}
QToolButton::menu-indicator {{ image: none; width: 0; }}

QCheckBox, QRadioButton {{ spacing: 8px; background: transparent; }}
QCheckBox::indicator, QComboBox QAbstractItemView::indicator {{
    width: 14px; height: 14px; border: 1px solid {edge}; border-radius: 3px; background: {entry};
}}
QCheckBox::indicator:checked, QComboBox QAbstractItemView::indicator:checked {{
    background: {accent}; border-color: {accent}; image: url({icons}/tick-{mode}.svg);
}}
QCheckBox:focus {{ color: {accent}; }}
QCheckBox::indicator:focus {{ border: 2px solid {accent}; width: 12px; height: 12px; }}

QDialogButtonBox, QMessageBox {{ dialogbuttonbox-buttons-have-icons: 0; }}

QMenuBar {{ background: {panel}; border: none; }}
QMenuBar::item {{ background: transparent; padding: 4px 8px; border-radius: 4px; }}
QMenuBar::item:selected {{ background: {hover}; }}
QMenu {{ background: {entry}; border: 1px solid {edge}; padding: 4px; }}
QMenu::item {{ padding: 5px 28px 5px 26px; border-radius: 3px; }}
QMenu::item:selected {{ background: {hover}; }}
QMenu::item:disabled {{ color: {faint}; }}
QMenu::separator {{ height: 1px; background: {hairline}; margin: 4px 8px; }}
QMenu::indicator {{ width: 14px; height: 14px; left: 6px; }}
QMenu::indicator:checked {{ image: url({icons}/mark-{mode}.svg); }}

QToolTip {{ background: {entry}; color: {ink}; border: 1px solid {edge}; padding: 4px 6px; }}
QScrollArea {{ background: transparent; border: none; }}
QScrollArea > QWidget > QWidget {{ background: transparent; }}
QScrollBar:vertical {{ background: transparent; width: 10px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 10px; margin: 0; }}
QScrollBar::handle {{ background: {edge}; border-radius: 3px; margin: 2px; }}
QScrollBar::handle:hover {{ background: {muted}; }}
QScrollBar::handle:vertical {{ min-height: 24px; }}
QScrollBar::handle:horizontal {{ min-width: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}

QTableView, QTreeView, QListView {{
    background: {entry}; border: 1px solid {hairline}; gridline-color: {hairline}; outline: none;
    selection-background-color: {hover}; selection-color: {ink}; alternate-background-color: {panel};
}}
QTableView:focus, QTreeView:focus, QListView:focus {{ border: 2px solid {accent}; }}
QTableView::item {{ padding: 2px 6px; }}
QTableView::item:focus {{ border: 1px solid {accent}; }}
QHeaderView {{ background: {panel}; }}
QHeaderView::section {{
    background: {panel}; color: {muted}; border: none; border-bottom: 1px solid {hairline}; padding: 4px 6px;
}}
QTableCornerButton::section {{ background: {panel}; border: none; }}

QTabWidget::pane {{ border: none; border-top: 1px solid {hairline}; padding-top: 6px; }}
QTabBar {{ background: transparent; qproperty-drawBase: 0; }}
QTabBar::tab {{
    background: transparent; color: {muted}; border: none; border-bottom: 2px solid transparent;
    padding: 5px 12px; min-height: 18px;
}}
QTabBar::tab:hover {{ color: {ink}; }}
QTabBar::tab:selected {{ color: {ink}; border-bottom: 2px solid {accent}; }}
QTabBar::tab:focus {{ color: {accent}; background: {hover}; }}

QSlider::groove:horizontal {{ background: {hairline}; height: 4px; border-radius: 2px; }}
QSlider::sub-page:horizontal {{ background: {accent}; height: 4px; border-radius: 2px; }}
QSlider::handle:horizontal {{
    background: {entry}; border: 1px solid {accent}; width: 12px; height: 12px;
    margin: -5px 0; border-radius: 7px;
}}
QSlider::sub-page:horizontal:disabled {{ background: {hairline}; }}
QSlider::handle:horizontal:disabled {{ border-color: {edge}; background: {panel}; }}
QSlider::handle:horizontal:focus {{ background: {accent}; }}
QProgressBar {{ background: {hairline}; border: none; border-radius: 2px; max-height: 4px; min-height: 4px; }}
QProgressBar::chunk {{ background: {accent}; border-radius: 2px; }}
QSplitter::handle {{ background: {hairline}; }}
QStatusBar {{ background: {panel}; }}
QStatusBar::item {{ border: none; }}
"""

_USED = (
    "panel",
    "ink",
    "paper",
    "hairline",
    "muted",
    "warn",
    "danger",
    "good",
    "entry",
    "edge",
    "accent",
    "accent_ink",
    "hover",
)


def _css(colour: QColor) -> str:
    return f"rgba({colour.red()}, {colour.green()}, {colour.blue()}, {colour.alpha()})"


def sheet(theme: Theme) -> str:
    """Return the style sheet of a theme."""
    colours = {name: _css(getattr(theme, name)) for name in _USED}
    faint = QColor(theme.muted)
    faint.setAlpha(150)
    icons = str(files("resources").joinpath("icons")).replace("\\", "/")
    return _SHEET.format(**colours, faint=_css(faint), icons=icons, mode="dark" if theme.dark else "light")


def palette(theme: Theme) -> QPalette:
    """Return the palette of a theme, for what the style sheet does not reach."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, theme.panel),
        (role.WindowText, theme.ink),
        (role.Base, theme.entry),
        (role.AlternateBase, theme.panel),
        (role.Text, theme.ink),
        (role.Button, theme.entry),
        (role.ButtonText, theme.ink),
        (role.BrightText, theme.danger),
        (role.Highlight, theme.accent),
        (role.HighlightedText, theme.accent_ink),
        (role.ToolTipBase, theme.entry),
        (role.ToolTipText, theme.ink),
        (role.PlaceholderText, theme.muted),
        (role.Link, theme.accent),
        (role.LinkVisited, theme.accent),
        (role.Light, theme.hover),
        (role.Midlight, theme.hover),
        (role.Mid, theme.hairline),
        (role.Dark, theme.edge),
        (role.Shadow, theme.edge),
    ):
        made.setColor(which, colour)
    for which in (role.Text, role.WindowText, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, theme.muted)
    return made


def dress(app: QApplication, theme: Theme) -> None:
    """Give the whole application a theme, unless it wears it already."""
    if app.property(_WORN) == theme.dark:
        return
    app.setProperty(_WORN, theme.dark)
    app.setStyle("Fusion")
    app.setFont(font("body"))
    app.setPalette(palette(theme))
    app.setStyleSheet(sheet(theme))


def restyle(widget: QWidget) -> None:
    """Let a widget take up a changed dynamic property."""
    widget.style().unpolish(widget)
    widget.style().polish(widget)
