"""Hours as keepers write them: a figure with a point or a comma, hours and minutes, minutes alone."""

import re

from inventory.holdings.rules.readings import VALUE, read_reading

EXAMPLE = "write 2.5, 2,5 or 2:30"

_SIGN = re.compile(r"\s*([-+−–]?)\s*(.*?)\s*", re.DOTALL)
_CLOCK = re.compile(r"(\d{1,6})\s*(?::|h(?:ours?|rs?)?\s*)\s*([0-5]?\d)\s*(?:m(?:in(?:ute)?s?)?)?\.?", re.IGNORECASE)
_HOURS = re.compile(r"(.*\d)\s*h(?:ours?|rs?)?\.?", re.IGNORECASE)
_MINUTES = re.compile(r"(\d{1,6})\s*m(?:in(?:ute)?s?)?\.?", re.IGNORECASE)


class HoursRefused(ValueError):
    """Hours that cannot be read; the text says what was found and how to write them."""


def read_hours(written: str, *, signed: bool = False) -> float:
    """Hours. ``signed``: they may be below zero. Raises HoursRefused."""
    found = _SIGN.fullmatch(written)
    sign, text = found.groups() if found else ("", written)
    hours = _unsigned(text, written.strip())
    if sign in ("", "+"):
        return hours
    if not signed:
        raise HoursRefused(f"{written.strip()!r} is below zero; hours that ran are 0 or more, {EXAMPLE}.")
    return -hours


def _unsigned(text: str, written: str) -> float:
    if clock := _CLOCK.fullmatch(text):
        return int(clock[1]) + int(clock[2]) / 60
    if minutes := _MINUTES.fullmatch(text):
        return int(minutes[1]) / 60
    plain = text
    if hours := _HOURS.fullmatch(text):
        plain = hours[1].strip()
    read = read_reading(plain)
    if read.kind == VALUE and not read.unit and not read.minimum:
        if read.figure is None:
            raise HoursRefused(f"{written!r} can mean two figures; write it without a mark for thousands.")
        return float(read.figure)
    raise HoursRefused(f"{written!r} cannot be read as hours; {EXAMPLE}.")
