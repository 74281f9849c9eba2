"""Switch settings worked out: the least that gives enough light, and which settings a table shows."""

from core.combinations.least import Least, Wanted, least_combination, least_shares
from core.combinations.table import MOST_GROUPS_FOR_TABLE, Setting, levels_in_words, table_settings

__all__ = [
    "MOST_GROUPS_FOR_TABLE",
    "Least",
    "Setting",
    "Wanted",
    "least_combination",
    "least_shares",
    "levels_in_words",
    "table_settings",
]
