"""Questions of the running area."""

from inventory.running.queries.comparable import Compared, comparable
from inventory.running.queries.hours import (
    ChassisLog,
    Doubt,
    SetHours,
    TubeAccount,
    chassis_log,
    log_differences,
    log_rows,
    meter_readings,
    reading_doubt,
    run_doubts,
    set_hours,
    tube_hours,
)
from inventory.running.queries.instruments import (
    Comparison,
    InstrumentAnswer,
    calibrations_due,
    compare,
    instrument_answer,
    instruments,
)
from inventory.running.queries.matching import (
    MatchAnswer,
    Whereabouts,
    every_reading_name,
    match_tubes,
    matched_sets,
    mates_in_words,
    mates_of_many,
    reading_names,
    whereabouts,
    whereabouts_of,
)
from inventory.running.queries.schedules import DueLine, calendar, care_done, cares, due_and_apart, dues, dues_soon
from inventory.running.queries.survival import EMITTERS, LifeAnswer, life_of, types_meant
from inventory.running.queries.test_points import with_points
from inventory.running.queries.testing import TubeStory, session_so_far, tube_story
from inventory.running.queries.together import doubt_in, doubts_of, verdicts_of
from inventory.running.queries.trends import TrendLine, tube_trend
from inventory.running.queries.verdicts import TestLine, judged, latest_readings, reading_far_off, test_list
from tubes.queries.judging import limits

__all__ = [
    "EMITTERS",
    "ChassisLog",
    "Compared",
    "Comparison",
    "Doubt",
    "DueLine",
    "InstrumentAnswer",
    "LifeAnswer",
    "MatchAnswer",
    "SetHours",
    "TestLine",
    "TrendLine",
    "TubeAccount",
    "TubeStory",
    "Whereabouts",
    "calendar",
    "calibrations_due",
    "care_done",
    "cares",
    "chassis_log",
    "comparable",
    "compare",
    "doubt_in",
    "doubts_of",
    "due_and_apart",
    "dues",
    "dues_soon",
    "every_reading_name",
    "instrument_answer",
    "instruments",
    "judged",
    "latest_readings",
    "life_of",
    "limits",
    "log_differences",
    "log_rows",
    "match_tubes",
    "matched_sets",
    "mates_in_words",
    "mates_of_many",
    "meter_readings",
    "reading_doubt",
    "reading_far_off",
    "reading_names",
    "run_doubts",
    "session_so_far",
    "set_hours",
    "test_list",
    "tube_hours",
    "tube_story",
    "tube_trend",
    "types_meant",
    "verdicts_of",
    "whereabouts",
    "whereabouts_of",
    "with_points",
]
