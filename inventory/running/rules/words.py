"""Words and keys that the records and the rules share, so that each has one home."""

KNOWN, ESTIMATED, UNKNOWN = "known", "estimated", "unknown"  # hours that a tube had run before it came

TEST, OIL, CONDITION, WARM_UP, OTHER = "test", "oil", "condition", "warm up", "other"  # works of care

#: Keys of the limits that this area judges by, in ``fixtures/reference/limits.csv``.
BORDERLINE_PCT, ACTIVITY_PCT = "test.borderline_pct", "activity.fall_pct"
TOLERANCE_PCT, DIFFERENCE_PCT = "match.tolerance_pct", "hours.meter_log_difference_pct"
GAS_DIV, GAS_UA = "test.gas_div", "test.gas_ua"
