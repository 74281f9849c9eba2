"""What Qt needs from a bare Linux system, checked before Qt is loaded, so that a lack is named.

Qt's own wheel brings most of what it needs; these come from the system. Loading Qt without them raises an
ImportError or, for those of the window system, ends the process.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Iterable

__all__ = ["missing_libraries", "no_display", "what_to_install"]

# Library -> package of Debian and Ubuntu.
_ALWAYS = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libzstd.so.1": "libzstd1",
}
_ON_X11 = {
    "libX11.so.6": "libx11-6",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxcb.so.1": "libxcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def missing_libraries(window: bool, loads: Callable[[str], bool] = _loads) -> dict[str, str]:
    """Return the libraries that are missing and the packages that bring them; none outside Linux.

    ``window`` asks for what a window on X11 needs, too.
    """
    if not sys.platform.startswith("linux"):
        return {}
    needed = dict(_ALWAYS)
    if window and os.environ.get("QT_QPA_PLATFORM", "xcb").startswith("xcb"):
        needed |= _ON_X11
    return {name: package for name, package in needed.items() if not loads(name)}


def what_to_install(missing: dict[str, str]) -> str:
    """Say which libraries are missing and how to get them."""
    packages = " ".join(_once(missing.values()))
    return (
        f"candlebench: Qt needs libraries that this system does not have ({', '.join(missing)}). "
        f"On Debian and Ubuntu: sudo apt-get install -y {packages}"
    )


def no_display() -> bool:
    """Whether there is no screen to open a window on (Linux without X11 and Wayland)."""
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return False
    return not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _once(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))
