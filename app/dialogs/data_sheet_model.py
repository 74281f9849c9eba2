"""Catalogue entries from data sheets: a blank one, one from a photometric file, and what is wrong. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from core.photometry.lm63 import PhotometricFile
from core.photometry.opening import OpeningShape
from core.plan import Model, PowerSetting
from core.plan.fixtures import distribution_of
from core.units import INCH

__all__ = ["blank_model", "taken_over", "what_is_wrong"]


def blank_model() -> Model:
    """Return what the form begins with: a 4 ft strip of ordinary figures, to be typed over."""
    return Model(
        id="new",
        name="",
        kind="strip",
        length=48 * INCH,
        width=3 * INCH,
        body_height=3 * INCH,
        opening="rectangle",
        opening_length=46 * INCH,
        opening_width=2.5 * INCH,
        settings=(PowerSetting(40.0, 4000.0),),
        colours=(4000,),
        is_example=False,
    )


def what_is_wrong(model: Model) -> str:
    """Return why an entry cannot be used as it is, empty where it can."""
    if not model.name:
        return "Give it a name, as you would look for it on the shelf."
    if model.beam == "web" and model.web is None:
        return "Read an LM-63 file, or choose another way in which the light spreads."
    slack = 1e-6
    if model.opening != "point" and (
        model.opening_length > model.length + slack or model.opening_width > model.width + slack
    ):
        return "The part that shines cannot be larger than the body. Check both sizes."
    distribution_of(model)
    return ""


def taken_over(model: Model, found: PhotometricFile) -> Model:
    """Return the entry with what a photometric file says; a body grows where the opening would not fit it."""
    watts = found.input_watts or model.settings[0].watts
    values: dict[str, Any] = {
        "beam": "web",
        "web": found.web,
        "settings": (PowerSetting(float(watts), round(found.web.flux, 1)),),
        "name": model.name or found.title,
    }
    shape, opening = found.opening.shape, found.opening
    if shape is OpeningShape.POINT:
        values |= {"opening": "point", "opening_length": 0.0, "opening_width": 0.0}
    elif shape in (OpeningShape.CIRCLE, OpeningShape.VERTICAL_CYLINDER, OpeningShape.SPHERE):
        across = max(opening.length, opening.width)
        values |= {"opening": "round", "opening_length": across, "opening_width": across}
    elif opening.length > 0.0 and opening.width > 0.0:
        values |= {"opening": "rectangle", "opening_length": opening.length, "opening_width": opening.width}
    made = replace(model, **values)
    return replace(made, length=max(made.length, made.opening_length), width=max(made.width, made.opening_width))
