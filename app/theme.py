"""What the window looks like: colours by meaning, light and dark, one family in three sizes and two weights.

Light is the only strong colour of the drawing, so everything else is ink on paper with one accent. Nobody
else names a colour or a font; the widgets' style sheet is made from the same values in `app.style`.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Literal

from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication

__all__ = [
    "RHYTHM",
    "Role",
    "Theme",
    "font",
    "group_colour",
    "group_ink",
    "is_dark",
    "load_fonts",
    "theme",
]

RHYTHM = 8  # px: every gap is a multiple or half of it

Role = Literal["small", "body", "figure"]
_PIXELS: dict[str, int] = {"small": 11, "body": 13, "figure": 24}

# Chosen one by one as the colour farthest (CIEDE2000) from all before it, seen with normal vision and with
# protanopia, deuteranopia and tritanopia after Machado et al. 2009; every one keeps 4.5:1 against the panel
# of its theme. The letter always stands beside it, so a ninth group may start over.
_GROUPS_LIGHT = ("#0f766e", "#6d0b09", "#491284", "#8f6d14", "#9055cb", "#d62475", "#a40941", "#631342")
_GROUPS_DARK = ("#4fd1c5", "#dc751e", "#8d80fc", "#fbe355", "#33a281", "#bdaff8", "#f9a56a", "#3efec9")


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours by what they mean."""

    dark: bool
    paper: QColor  # behind the drawing
    floor: QColor  # the room's floor where no light is shown
    panel: QColor  # shelves, inspector, wall plate
    entry: QColor  # inside of a text field
    ink: QColor  # text and strong lines
    muted: QColor  # second-rank text
    hairline: QColor  # rules between things
    edge: QColor  # outline of fields and buttons
    hover: QColor  # under the pointer
    accent: QColor  # what is on, links, keyboard focus
    accent_ink: QColor  # text on the accent
    wall: QColor
    opening: QColor  # doors and windows
    furniture_fill: QColor
    furniture_edge: QColor
    furniture_ink: QColor
    fixture_fill: QColor
    fixture_edge: QColor
    worker: QColor
    dimension: QColor  # dimension lines and their text
    selection: QColor  # corner brackets
    guide: QColor  # snapping lines
    halo: QColor  # behind text that lies on the light
    field_line: QColor  # isolines and their labels, drawn on the light
    target_line: QColor  # the isoline at the target
    reading_fill: QColor  # the probe's label
    reading_ink: QColor
    rocker: QColor  # face of a wall switch
    rocker_edge: QColor
    lamp: QColor  # the small lamp in a switch that is on
    warn: QColor
    danger: QColor
    good: QColor


def theme(dark: bool) -> Theme:
    """Return the light or the dark theme."""
    return _dark() if dark else _light()


@cache
def _light() -> Theme:
    c = QColor
    return Theme(
        dark=False,
        paper=c("#fffefb"),
        floor=c("#f6f4ee"),
        panel=c("#faf8f2"),
        entry=c("#fffefb"),
        ink=c("#24262b"),
        muted=c("#66635b"),
        hairline=c("#dedad0"),
        edge=c("#c4bfb2"),
        hover=c("#f0ece1"),
        accent=c("#a84a0c"),
        accent_ink=c("#fffefb"),
        wall=c("#24262b"),
        opening=c("#4a4c52"),
        furniture_fill=c(221, 217, 208, 240),
        furniture_edge=c("#4a4c52"),
        furniture_ink=c("#24262b"),
        fixture_fill=c("#ffffff"),
        fixture_edge=c("#24262b"),
        worker=c(36, 38, 43, 110),
        dimension=c("#24262b"),
        selection=c("#14161a"),
        guide=c("#b4147a"),
        halo=c(255, 254, 251, 215),
        field_line=c(36, 38, 43, 120),
        target_line=c(36, 38, 43, 235),
        reading_fill=c("#fffefb"),
        reading_ink=c("#24262b"),
        rocker=c("#ffffff"),
        rocker_edge=c("#b7b1a2"),
        lamp=c("#e8891c"),
        warn=c("#8a4b00"),
        danger=c("#a3231a"),
        good=c("#22693b"),
    )


@cache
def _dark() -> Theme:
    c = QColor
    return Theme(
        dark=True,
        paper=c("#14171c"),
        floor=c("#1b1f25"),
        panel=c("#1c2027"),
        entry=c("#14171c"),
        ink=c("#eceae4"),
        muted=c("#a3a7ae"),
        hairline=c("#333942"),
        edge=c("#4a515c"),
        hover=c("#272c35"),
        accent=c("#f0a648"),
        accent_ink=c("#14171c"),
        wall=c("#eceae4"),
        opening=c("#c3c1ba"),
        furniture_fill=c(70, 76, 86, 240),
        furniture_edge=c("#a9adb3"),
        furniture_ink=c("#f0eee8"),
        fixture_fill=c("#ffffff"),
        fixture_edge=c("#14161a"),
        worker=c(20, 22, 26, 130),
        dimension=c("#eceae4"),
        selection=c("#fffefb"),
        guide=c("#ff7ac8"),
        halo=c(20, 23, 28, 200),
        field_line=c(20, 22, 26, 130),
        target_line=c(20, 22, 26, 235),
        reading_fill=c("#262b33"),
        reading_ink=c("#eceae4"),
        rocker=c("#3b424d"),
        rocker_edge=c("#59616d"),
        lamp=c("#f0a648"),
        warn=c("#f0b45c"),
        danger=c("#ff8f84"),
        good=c("#7fd39a"),
    )


def group_colour(letter: str, dark: bool) -> QColor:
    """Return the colour of a switch group; ``dark=False`` also suits a white fixture in the dark."""
    colours = _GROUPS_DARK if dark else _GROUPS_LIGHT
    return QColor(colours[(ord(letter[:1].upper() or "A") - ord("A")) % len(colours)])


def group_ink(dark: bool) -> QColor:
    """Return the colour of a letter that stands on its group's colour."""
    return QColor("#14171c") if dark else QColor("#ffffff")


def load_fonts() -> str:
    """Load the bundled family, once per application; return its name, else that of the system."""
    app = QGuiApplication.instance()
    if app is None:
        raise RuntimeError("fonts need a running application")
    known = app.property("candlebench_family")
    if known:
        return str(known)
    family = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont).family()
    for name in ("Inter-Regular.otf", "Inter-SemiBold.otf"):
        try:
            number = QFontDatabase.addApplicationFontFromData(QByteArray(_font_bytes(name)))
        except OSError as problem:
            logging.getLogger(__name__).warning("bundled font %s cannot be read: %s", name, problem)
            break
        if number >= 0:
            family = QFontDatabase.applicationFontFamilies(number)[0]
    app.setProperty("candlebench_family", family)
    return family


def _font_bytes(name: str) -> bytes:
    return files("resources").joinpath("fonts", name).read_bytes()


def font(role: Role = "body", strong: bool = False) -> QFont:
    """Return the family at one of three sizes, regular or semibold; figures have one width each."""
    return QFont(_font_of(load_fonts(), role, strong))


@lru_cache(maxsize=16)
def _font_of(family: str, role: Role, strong: bool) -> QFont:
    made = QFont(family)
    made.setPixelSize(_PIXELS[role])
    made.setWeight(QFont.Weight.DemiBold if strong else QFont.Weight.Normal)
    if role == "figure":
        made.setFeature(QFont.Tag("tnum"), 1)
    return made


def is_dark(wanted: str = "system") -> bool:
    """Whether windows are dark now: as wanted ('light', 'dark'), else as the system asks for.

    `QStyleHints.colorSchemeChanged` tells when the system changes.
    """
    if wanted in ("light", "dark"):
        return wanted == "dark"
    return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
