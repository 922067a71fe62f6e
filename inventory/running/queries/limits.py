"""The limits that this area judges by, each with its source: rows of the tables, or the keeper's own before them."""

from tubes.queries.judging import limits as limits_on_record
from tubes.rules.limits import Limit, Limits

BORDERLINE, TOLERANCE, ACTIVITY, DIFFERENCE = (
    "test.borderline_pct", "match.tolerance_pct", "activity.fall_pct", "hours.meter_log_difference_pct",
)  # fmt: skip
PRACTICE = "common practice, no source"

#: For a database whose reference tables were loaded before there were limits in them.
DEFAULTS = (
    Limit(BORDERLINE, 10.0, "%", "reading above the reject limit up to which a tube is borderline", PRACTICE),
    Limit(TOLERANCE, 10.0, "%", "difference of two readings, of their mean, up to which tubes are a match", PRACTICE),
    Limit(ACTIVITY, 10.0, "%", "fall with reduced filament up to which a tube counts as strong", PRACTICE),
    Limit(DIFFERENCE, 2.0, "%", "difference of hours by log and meter from which it is flagged", PRACTICE),
)


def limits() -> Limits:
    """Limits by key (one query)."""
    found = limits_on_record()
    return Limits({row.key: row for row in DEFAULTS} | {key: found.row(key) for key in found})
