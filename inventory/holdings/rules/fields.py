"""What a column of a list can be. The names are used in mappings, so a change of one breaks a kept mapping."""

MARK, QUANTITY, STATE, READING, MINIMUM, TESTED_ON = "mark", "quantity", "state", "reading", "minimum", "tested_on"
PLACE, PRICE, MAKER, DATE_CODE, SERIAL, MATE = "place", "price", "maker", "date_code", "serial", "mate_serial"
MODEL, CONDITION, NOTE, FROM, ACQUIRED_ON = "model", "condition", "note", "acquired_from", "acquired_on"
INSURED, KIND, NUMBER, WANTED, USED, FOR_SET = "insured_value", "kind", "number", "wanted", "used_count", "for_set"
OTHER, IGNORED = "other", "ignored"

FIELDS = (
    MARK, QUANTITY, STATE, READING, MINIMUM, TESTED_ON, PLACE, PRICE, MAKER, DATE_CODE, SERIAL, MATE, MODEL, CONDITION,
    NOTE, FROM, ACQUIRED_ON, INSURED, KIND, NUMBER, WANTED, USED, FOR_SET, OTHER, IGNORED,
)  # fmt: skip

TUBES, PARTS, CHASSIS, UNITS, COMPANIONS, OTHERS = "tubes", "parts", "chassis", "units", "companions", "other"
KINDS = (TUBES, PARTS, CHASSIS, UNITS, COMPANIONS, OTHERS)
