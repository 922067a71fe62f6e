"""What the date code of a tube or part tells of when it was made.

Codes that name no year by four figures, nor month or week beside two, are kept as found and read as nothing: makers'
letters and lot numbers were never one scheme. Common practice, no source.
"""

import re

from inventory.holdings.rules.making_year import has_unit

_YEAR = re.compile(r"(?<![0-9])(19[2-9][0-9]|20[0-4][0-9])(?![0-9])")
_SHORT = re.compile(r"[0-9]{1,2}[-/ ]'?([2-9][0-9])|([2-9][0-9])-[0-9]{1,2}")

FIRST, LAST = 1920, 2040  # the decades that a code can be read as
NO_CODE, UNREAD = "none", "unread"


def year_made(date_code: str) -> int | None:
    """The year that a date code tells (1944, 44-12, 3-44), or None. Two figures are 19..: common practice."""
    found_years = _YEAR.finditer(date_code[:200])
    years = {int(match[0]) for match in found_years if not has_unit(date_code, match.end())}
    if len(years) == 1:
        return years.pop()
    found = _SHORT.fullmatch(date_code.strip())
    return 1900 + int(found.group(1) or found.group(2)) if found and not years else None


def decade_made(date_code: str) -> str:
    """The decade of a date code: ``1940s``; ``none`` where there is no code, ``unread`` where it tells no year."""
    if not date_code.strip():
        return NO_CODE
    year = year_made(date_code)
    return UNREAD if year is None else f"{year // 10 * 10}s"


def decades() -> list[str]:
    """Every decade that a code can be read as, the earliest first."""
    return [f"{year}s" for year in range(FIRST, LAST + 1, 10)]
