"""Reading a picture file for the sheet: made small enough to live in the plan file, and laid over the room."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, Qt
from PySide6.QtGui import QImage, QImageReader

from core.plan import Plan, Underlay
from core.plan.edits import fresh_id
from core.plan.sheet import MOST_PICTURE_BYTES, data_uri
from core.units import FOOT

__all__ = ["PICTURE_FILTER", "PictureError", "read_picture", "with_picture"]

PICTURE_FILTER = "Pictures (*.png *.jpg *.jpeg *.bmp *.gif *.webp)"
_LONGEST_PX = 2400
_QUALITIES = (88, 75, 60, 45)
_LARGEST_MP = 400  # megabytes that Qt may take to open a picture; a 100-megapixel photo has as many


class PictureError(ValueError):
    """A file that cannot be used as a picture; the text says why."""


def read_picture(path: Path) -> QImage:
    """Return a picture, upright as it was taken, at most 2400 px long.

    Raises
    ------
    PictureError
        If the file cannot be read or is no picture.
    """
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    reader.setAllocationLimit(_LARGEST_MP)
    size = reader.size()
    if size.isValid() and max(size.width(), size.height()) > _LONGEST_PX:
        reader.setScaledSize(size.scaled(QSize(_LONGEST_PX, _LONGEST_PX), Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        raise PictureError(f"{path.name}: this is no picture that can be shown ({reader.errorString().lower()}).")
    return image


def with_picture(plan: Plan, image: QImage, name: str) -> tuple[Plan, str]:
    """Return the plan with a picture underneath as wide as the room, in place of the one there was, and its id."""
    uri = data_uri(_encoded(image))
    corners = plan.room.outline or ((0.0, 0.0), (20 * FOOT, 16 * FOOT))
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    aspect = image.height() / image.width()
    width = max(max(xs) - min(xs), (max(ys) - min(ys)) / aspect)
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    identity = plan.underlay.id if plan.underlay is not None else fresh_id(plan, "picture")
    width = min(max(width, 0.1), 300.0)
    picture = Underlay(identity, uri, *middle, width, aspect, name=name)
    return replace(plan, underlay=picture), identity


def _encoded(image: QImage) -> bytes:
    """Return the picture as PNG where that is small enough, else as a JPEG that is."""
    data = _saved(image, "PNG", -1)
    flat = image.convertToFormat(QImage.Format.Format_RGB888)
    while True:
        for quality in _QUALITIES:
            if len(data) <= MOST_PICTURE_BYTES:
                return data
            data = _saved(flat, "JPEG", quality)
        flat = flat.scaled(flat.size() * 0.7, mode=Qt.TransformationMode.SmoothTransformation)


def _saved(image: QImage, kind: str, quality: int) -> bytes:
    array = QByteArray()
    buffer = QBuffer(array)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, kind, quality)  # type: ignore[call-overload]
    return bytes(array.data())
