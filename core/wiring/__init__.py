"""The wiring as a planning aid: circuits and their load, cable routes, boxes and their fill, and what is not right.

US practice after NFPA 70, which differs by edition and place; local code, the permit and the inspector decide, and a
licensed electrician does what the law reserves for one. `wired` turns a plan into all of it. Nothing here knows light.
"""

from core.wiring.assumed import AssumedWiring, with_assumptions
from core.wiring.boxes import BoxFill
from core.wiring.findings import WiringFinding
from core.wiring.load import CircuitLoad, circuit_load, fixture_amperes
from core.wiring.routes import Routing, Run
from core.wiring.settings_card import SettingsCard, settings_cards
from core.wiring.tables import (
    CABLE_COLUMNS,
    CIRCUIT_COLUMNS,
    cable_rows,
    circuit_rows,
)
from core.wiring.wired import Wired, wired

__all__ = [
    "CABLE_COLUMNS",
    "CIRCUIT_COLUMNS",
    "AssumedWiring",
    "BoxFill",
    "CircuitLoad",
    "Routing",
    "Run",
    "SettingsCard",
    "Wired",
    "WiringFinding",
    "cable_rows",
    "circuit_load",
    "circuit_rows",
    "fixture_amperes",
    "settings_cards",
    "wired",
    "with_assumptions",
]
