"""What stands on every page of the sheet, and how a scale is called."""

from __future__ import annotations

from core.units import UnitSystem

__all__ = ["CAUTIONS", "SCALES", "scale_text"]

CAUTIONS = (
    "Planning aid, not a wiring design. Turn the circuit off at the panel and test that it is dead before you cut or"
    " wire.",
    "Permit, inspection and a licensed electrician where the law says so; local code and the fixture's own instructions"
    " come first.",
    "Before each hole look for cables, pipes and ducts above the ceiling. Ladder: belt buckle between the rails, never"
    " the top two steps. Long or heavy fixtures: a helper, or straps and props on both ends before you let go.",
    "Keep insulation off recessed fixtures that are not listed for contact.",
)

SCALES = {
    UnitSystem.US: (
        (24, "1/2\" = 1'"),
        (32, "3/8\" = 1'"),
        (48, "1/4\" = 1'"),
        (64, "3/16\" = 1'"),
        (96, "1/8\" = 1'"),
    ),
    UnitSystem.METRIC: ((20, "1:20"), (25, "1:25"), (50, "1:50"), (75, "1:75"), (100, "1:100")),
}
_SMALLER = (128, 192, 200, 250, 300, 400, 500, 800, 1000, 2000, 5000)


def scale_text(system: UnitSystem, needed: float) -> tuple[int, str]:
    """Return the largest usual scale at least as small as 1 to ``needed``: its number and its name."""
    for number, name in SCALES[system]:
        if number >= needed:
            return number, f"{name} (1:{number})" if system is UnitSystem.US else name
    number = next((n for n in _SMALLER if n >= needed), round(needed) + 1)
    return number, f"1:{number}"
