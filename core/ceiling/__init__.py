"""The work on the ceiling: box centres from two walls, checks, joists, conflicts, hanging alone, as built.

`sheet` makes the ceiling sheet of a plan: `reference` chooses the two walls, `survey` gives the room as measured,
`feeding` where each fixture is fed, `joists` and `nudge` what the framing says, `chalk` the lines to snap. `conflicts`
and `hanging` look at the bodies and at the person on the ladder; `as_built` takes what was really cut; `box_list`
writes the table.
"""

from core.ceiling.as_built import Deviation, as_built_plan, deviations, plan_as_hung, taken_into_plan, with_as_built
from core.ceiling.box_list import box_centres_text, box_table_of
from core.ceiling.chalk import ChalkLine, chalk_lines, off_lines
from core.ceiling.conflicts import Conflict, conflicts, in_the_way
from core.ceiling.feeding import CeilingPoint, ceiling_points, feeding_of
from core.ceiling.hanging import HangingStep, LadderStop, hanging_steps, ladder_stops
from core.ceiling.nudge import BenchCost, Nudge, NudgeCosts, costs_of, light_cost, nudges, nudges_left
from core.ceiling.reference import Reference, WallPairError, pair_problem, reference_of, suggested_pair, wall_name
from core.ceiling.sheet import BoxRow, CeilingSheet, ceiling_sheet, sheet_as_far_as_known
from core.ceiling.survey import Survey, SurveyError, survey

__all__ = [
    "BenchCost",
    "BoxRow",
    "CeilingPoint",
    "CeilingSheet",
    "ChalkLine",
    "Conflict",
    "Deviation",
    "HangingStep",
    "LadderStop",
    "Nudge",
    "NudgeCosts",
    "Reference",
    "Survey",
    "SurveyError",
    "WallPairError",
    "as_built_plan",
    "box_centres_text",
    "box_table_of",
    "ceiling_points",
    "ceiling_sheet",
    "chalk_lines",
    "conflicts",
    "costs_of",
    "deviations",
    "feeding_of",
    "hanging_steps",
    "in_the_way",
    "ladder_stops",
    "light_cost",
    "nudges",
    "nudges_left",
    "off_lines",
    "pair_problem",
    "plan_as_hung",
    "reference_of",
    "sheet_as_far_as_known",
    "suggested_pair",
    "survey",
    "taken_into_plan",
    "wall_name",
    "with_as_built",
]
