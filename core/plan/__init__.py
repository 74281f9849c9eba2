"""The plan: what is drawn and decided, as immutable values."""

from core.plan.fixtures import Fixture, Model, ModelKind, PowerSetting, distribution_of
from core.plan.furniture import Furniture, FurnitureKind, Side, Worker, box_corners, standing_place
from core.plan.plan import Combination, Group, Level, LightLoss, Plan, Targets
from core.plan.room import Finish, JoistZone, KeepOut, Opening, Point, Room
from core.plan.sheet import Note, Underlay

__all__ = [
    "Combination",
    "Finish",
    "Fixture",
    "Furniture",
    "FurnitureKind",
    "Group",
    "JoistZone",
    "KeepOut",
    "Level",
    "LightLoss",
    "Model",
    "ModelKind",
    "Note",
    "Opening",
    "Plan",
    "Point",
    "PowerSetting",
    "Room",
    "Side",
    "Targets",
    "Underlay",
    "Worker",
    "box_corners",
    "distribution_of",
    "standing_place",
]
