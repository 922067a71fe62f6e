"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    MatchedSet,
    MatchedTube,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)

SPECS = (
    Spec("runs", Run, then=("on", "pk")),
    Spec("meters", Meter, numbered=True),
    Spec("meter_readings", MeterReading, then=("on", "pk")),
    Spec("earlier_hours", EarlierHours, ("tube",), ("tube__item__tag",)),
    Spec("hours_corrections", HoursCorrection, then=("on", "pk")),
    Spec("instruments", Instrument, ("name",), ("name",)),
    Spec(
        "type_minimums", TypeMinimum, ("instrument", "type", "section"), ("instrument__name", "type__name", "section")
    ),
    Spec("tube_tests", TubeTest, numbered=True),
    Spec("matched_sets", MatchedSet, numbered=True),
    Spec("matched_tubes", MatchedTube, ("matched_set", "tube"), then=("matched_set_id", "pk")),
    Spec("cares", Care, numbered=True),
    Spec("care_done", CareDone, then=("on", "pk")),
)  # fmt: skip
