"""The cautions that stand on every print about wiring and work overhead; nothing switches them off."""

from __future__ import annotations

from typing import Final

__all__ = ["CAUTIONS", "PLANNING_AID"]

PLANNING_AID: Final = "Planning aid. Not a wiring design, not a permit, not a licence to do the work."

CAUTIONS: Final = (
    "Local code, the permit, the inspector and the makers' instructions come before anything printed here.",
    "Where the law asks for a licensed electrician, have one do it.",
    "Turn the breaker off, keep others from turning it on, and test that every conductor is dead with a tester that "
    "you have just tried on a live outlet. A wall switch that is off is not enough.",
    "Ladder: rated for you and your load, on firm ground, three points of contact, nobody on the top steps.",
    "Long fixtures take a helper, or straps or props that carry one end first (see the ceiling sheet).",
    "Insulation: only fixtures listed for insulation contact (IC) may touch it; keep it off all others.",
    "Never mix conductor size and breaker. Heat in insulation, bundled cables and fine wood dust are not checked here.",
)
