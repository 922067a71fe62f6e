"""The start sheet of a set: which checks it gets, in which order, why, and on whose word."""

from dataclasses import dataclass

from inventory.restoration.rules.printed_limit import NO_LIMIT, Limit
from inventory.restoration.rules.set_facts import SetFacts
from inventory.restoration.rules.start_rows import PARTS, ROWS

LONGEST_KEY = 220


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the sheet.

    ``key``: stays the same while the set does, so that what was found can be laid beside it. ``unit``: of the number
    that is asked; empty: words. ``because``: why this set gets it. ``caution``: what must be known before it is done.
    ``limit``: within which the reading has to lie, as ``expected`` prints it.
    """

    key: str
    part: str
    words: str
    how: str
    because: str
    source: str
    unit: str = ""
    expected: str = ""
    caution: str = ""
    limit: Limit = NO_LIMIT


def start_checks(facts: SetFacts) -> tuple[Check, ...]:
    """Every check that a set gets, part by part, in the order of work."""
    found: dict[str, Check] = {}
    for row in ROWS:
        for case in row.asked_of(facts):
            key = case.key or f"{row.key} {case.of}".strip()[:LONGEST_KEY]
            limit = row.limit if case.limit == NO_LIMIT else case.limit
            words = " ".join(row.words.format(of=case.of, marks=case.marks).split())
            check = Check(
                key, row.part, words[:1].upper() + words[1:], row.how or case.how, case.because,
                case.source or row.source, row.unit,
                case.expected or row.expected or limit.told(row.unit), facts.overload if row.loads_heaters else "",
                limit,
            )  # fmt: skip
            found.setdefault(key, check)
    return tuple(sorted(found.values(), key=lambda check: PARTS.index(check.part)))


def sources_of(checks: tuple[Check, ...]) -> dict[str, str]:
    """The texts behind some checks, each with the letter by which the sheet names it: a, b, ... z, aa, ab."""
    texts = dict.fromkeys(check.source for check in checks)
    return {text: _letter(number) for number, text in enumerate(texts)}


def _letter(number: int) -> str:
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(97 + rest) + letters
    return letters
