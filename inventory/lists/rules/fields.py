"""What a column of a list can be. The names are used in mappings, so a change of one breaks a kept mapping."""

MARK, QUANTITY, STATE, READING, MINIMUM, TESTED_ON = "mark", "quantity", "state", "reading", "minimum", "tested_on"
PLACE, PRICE, MAKER, DATE_CODE, SERIAL, MATE = "place", "price", "maker", "date_code", "serial", "mate_serial"
MODEL, CONDITION, NOTE, FROM, ACQUIRED_ON = "model", "condition", "note", "acquired_from", "acquired_on"
INSURED, KIND, NUMBER, WANTED, USED, FOR_SET = "insured_value", "kind", "number", "wanted", "used_count", "for_set"
ASKED, INSTRUMENT, DATED = "price_asked", "instrument", "other_date"
OTHER, IGNORED = "other", "ignored"
# What a register knows of a thing and few lists have.
TYPE, FITTED, LENT, SEEN = "type_check", "in_chassis", "lent_to", "seen_on"
LEFT_ON, LEFT_HOW, HOW, PLATE, MATE_PLATE = "left_on", "left_how", "acquired_how", "plate", "mate_plate"
VALUE, LEAST, MOST, DUDS, TO_COUNT = "value", "least", "most", "duds", "to_count"
MISSED = "missed_on"
OWN_NUMBER = "own_number"
TITLE, LEFT_WHY, LEFT_BY, LEFT_TO, PROCEEDS = "title", "left_why", "left_by", "left_to", "proceeds"
# What a part is by its figures, as lists that this program took out have it; the value in the unit of its kind.
PART_TYPE = (
    "part_kind", "part_value", "part_tolerance", "part_volts", "part_watts", "part_amps", "part_made", "part_class",
    "part_mounting", "part_marking", "part_words",
)  # fmt: skip

REGISTER = (
    TYPE, FITTED, LENT, SEEN, LEFT_ON, LEFT_HOW, HOW, PLATE, MATE_PLATE, VALUE, LEAST, MOST, DUDS, TO_COUNT,
    MISSED, OWN_NUMBER, TITLE, LEFT_WHY, LEFT_BY, LEFT_TO, PROCEEDS, *PART_TYPE,
)  # fmt: skip
FIELDS = (
    MARK, QUANTITY, STATE, READING, MINIMUM, TESTED_ON, PLACE, PRICE, MAKER, DATE_CODE, SERIAL, MATE, MODEL, CONDITION,
    NOTE, FROM, ACQUIRED_ON, INSURED, KIND, NUMBER, WANTED, USED, FOR_SET, ASKED, INSTRUMENT, DATED, *REGISTER, OTHER,
    IGNORED,
)  # fmt: skip

TUBES, PARTS, CHASSIS, UNITS, COMPANIONS, OTHERS = "tubes", "parts", "chassis", "units", "companions", "other"
KINDS = (TUBES, PARTS, CHASSIS, UNITS, COMPANIONS, OTHERS)
