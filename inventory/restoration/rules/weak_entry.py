"""One row of a list of weak parts as somebody writes it: read into what it says, or what is wrong with which cell."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.cells import read_cell, shown
from inventory.holdings.rules.dates import DAY, UNKNOWN, read_date
from inventory.restoration.rules.weak import VERDICTS

STRUCK = "struck out because"
#: The columns, as the list is taken out; of a row that gives no word the last six are empty.
COLUMNS = (
    "set model", "mark", "part", "quantity", "goes wrong", "on whose word", "word", "source", "page", "date", "says",
    STRUCK,
)  # fmt: skip
NEEDED = ("set model", "part")
LONGEST = {
    "set model": 80, "mark": 40, "part": 120, "goes wrong": 200, "on whose word": 200, "source": 200, "page": 40,
    "says": 300,
}  # fmt: skip
MOST = 9_999


@dataclass(frozen=True, slots=True)
class WeakFault:
    """What is wrong with one cell: its column, what stands there, why it cannot be taken."""

    column: str
    found: str
    reason: str


@dataclass(frozen=True, slots=True)
class WeakEntry:
    """A row that can be taken: a part of a set model, and a word on it where one is given. ``quantity``: as far as the
    row gives one.
    """

    set_model: str
    mark: str
    part: str
    quantity: int | None = None
    why: str = ""
    source_of_part: str = ""
    word: str = ""
    source: str = ""
    page: str = ""
    on: date | None = None
    says: str = ""


def read_weak_entry(
    cells: Mapping[str, str], today: date, order: str | None = None
) -> WeakEntry | tuple[WeakFault, ...]:
    """Read a row by the names of ``COLUMNS``; never raises. All that is wrong comes back at once.

    ``order``: day or month, which comes first in 04/05/2006; None: such a date is refused.
    """
    faults: list[WeakFault] = []

    def wrong(column: str, reason: str) -> None:
        faults.append(WeakFault(column, (cells.get(column) or "").strip()[:200], reason))

    said = {column: " ".join((cells.get(column) or "").split()) for column in COLUMNS}
    for column, most in LONGEST.items():
        seen = read_cell(said[column])
        if seen.damaged and seen.remark:
            wrong(column, f"{seen.remark.reason}; {seen.remark.action}")
        elif not said[column] and column in NEEDED:
            wrong(column, f"no {column} is written")
        elif len(said[column]) > most:
            wrong(column, f"longer than {most} letters; shorten it")
    if said[STRUCK]:
        wrong(STRUCK, "that word is struck out, and counts nowhere; empty this cell where it is to be taken in again")
    quantity = said["quantity"]
    whole = quantity.isascii() and quantity.isdecimal() and len(quantity) <= 4
    if quantity and not (whole and 1 <= int(quantity) <= MOST):
        wrong("quantity", f"expected a whole number from 1 to {MOST}")
    word = said["word"].casefold()
    on = None
    if word and word not in VERDICTS:
        wrong("word", f"{shown(said['word'])} is no word on a weak part; expected {', '.join(VERDICTS)}")
    elif word and not said["source"]:
        wrong("source", "a word wants its source: who says so, where it stands")
    elif not word and (beside := [one for one in ("source", "page", "date", "says") if said[one]]):
        wrong("word", f"{beside[0]} is given and no word; expected {', '.join(VERDICTS)}")
    if said["date"]:
        found = read_date(said["date"], today, order)
        if found.precision == DAY and found.sure and found.first and found.first <= today:
            on = found.first
        elif found.precision != UNKNOWN:
            told = found.remark.why or found.remark.reason if found.remark else "it names no single day that has come"
            wrong("date", f"{told}; write it as 2026-11-29, or leave it empty")
    if faults:
        return tuple(sorted(faults, key=lambda one: COLUMNS.index(one.column)))
    return WeakEntry(
        said["set model"], said["mark"], said["part"], int(quantity) if quantity else None, said["goes wrong"],
        said["on whose word"], word, said["source"], said["page"], on, said["says"],
    )  # fmt: skip
