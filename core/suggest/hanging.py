"""How a proposed fixture hangs: what of it does not depend on its place."""

from __future__ import annotations

from core.plan import Fixture, Model
from core.plan.hanging import USUAL_DROP
from core.plan.settle import settled

__all__ = ["candidate_fixture", "is_alike_turned"]


def candidate_fixture(
    model: Model, x: float, y: float, rotation_deg: float, drop: float | None = None, setting: int | None = None
) -> Fixture:
    """Return a fixture of a model at a place [m], without an id; at its highest power setting unless told.

    A suspended one hangs 12 in down unless ``drop`` [m] says otherwise.
    """
    usual = USUAL_DROP if model.mounting == "suspended" else 0.0
    return Fixture(
        id="",
        model=model.id,
        x=settled(x),
        y=settled(y),
        rotation_deg=rotation_deg,
        drop=usual if drop is None else drop,
        setting=highest_setting(model) if setting is None else setting,
        colour=4000 if 4000 in model.colours else model.colours[0],
    )


def highest_setting(model: Model) -> int:
    """Return the power setting that gives the most light."""
    return max(range(len(model.settings)), key=lambda n: model.settings[n].lumens)


def is_alike_turned(model: Model) -> bool:
    """Whether a quarter turn changes neither the body nor the opening."""
    square = abs(model.length - model.width) < 1e-6 and abs(model.opening_length - model.opening_width) < 1e-6
    return square and model.beam != "web"
