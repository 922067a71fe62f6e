"""Whether an oil capacitor is taken to hold PCB.

40 CFR 761.2(a)(4) (codes.findlaw.com): made before 2 July 1979, or of unknown date and not marked "No PCBs": at least
500 ppm are assumed. Local codes and licensed disposal come first.
"""

from datetime import date

FREE_FROM = date(1979, 7, 2)


def taken_to_hold_pcb(
    year: int | None = None, month: int | None = None, day: int | None = None, marked_none: bool = False
) -> bool:
    """By the date of making as far as it is known; a date that may lie before the day counts as lying before it."""
    if marked_none:
        return False
    if year is None:
        return True
    earliest = date(year, month or 1, (day if month and day else None) or 1)
    return earliest < FREE_FROM
