"""All evidence in one money on one day, and the levels worked out of it once: ask it for any number of things."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields
from datetime import date
from functools import cached_property

import numpy as np

from inventory.valuation.queries.columns import Columns, Said, columns
from inventory.valuation.queries.sales import exchange, written_sales
from inventory.valuation.queries.subjects import EQUIPMENT, Subject, families_of, mark_of, subject_of
from inventory.valuation.rules.bases import REPLACEMENT, Market, market_of
from inventory.valuation.rules.estimate import Values, values
from inventory.valuation.rules.evidence import (
    MARKS,
    NO_RATE,
    NOT_SAID,
    REASONS,
    USED,
    Evidence,
    Families,
    Small,
    Vector,
    Whole,
    delivered,
    evidence_of,
)
from inventory.valuation.rules.fitting import Fit, fit
from inventory.valuation.rules.grade_order import WORKING
from inventory.valuation.rules.sale import Brought, Exchange
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import ASKING, GRADES, NO, SHARE, VENUES
from tubes.queries import knowledge

UNSAID = "not said"
LOWER_GRADES = GRADES[WORKING:]


@dataclass(frozen=True)
class Levels:
    """Levels and factors of all evidence in one money on one day; every subject has its number.

    ``own_usual``: the commonest grade of the evidence of each set, unit and book that counts; a tube goes by ``usual``.
    """

    on: date
    currency: str
    real: bool
    basis: str
    subjects: Mapping[Subject, int]
    families: Families
    kinds: tuple[str, ...]
    fit: Fit
    own_usual: Mapping[Subject, str]

    @cached_property
    def market(self) -> Market:
        """The market of the basis."""
        if self.fit.factors is None:
            return Market("", False, "There is no evidence.")
        return market_of(self.basis, self.fit.factors)

    def values(self, subjects: Iterable[Subject], grades: Iterable[str], marks: Iterable[str] | None = None) -> Values:
        """Values of many at once; a grade or mark that is empty is levelled to the commonest of the evidence.

        Subjects without a number have no evidence: nan.
        """
        numbers = np.array([self.subjects.get(subject, -1) for subject in subjects], dtype=np.int64)
        grade = self.places(grades, GRADES, 0)
        mark = np.full(len(numbers), self._usual(2, MARKS)) if marks is None else self.places(marks, MARKS, 2)
        venue = np.full(len(numbers), self.venue)
        known = np.where(numbers < 0, len(self.subjects), numbers)
        return values(self.fit, known, grade, venue.astype(np.int8), mark.astype(np.int8), self.on.toordinal())

    def places(self, given: Iterable[str], words: tuple[str, ...], number: int) -> Small:
        """Words by their places; an empty one is the commonest of the evidence."""
        usual = self._usual(number, words)
        places = {word: place for place, word in enumerate(words)} | {"": usual, UNSAID: NOT_SAID}
        return np.array([places[word] for word in given], dtype=np.int8)

    def usual(self, number: int) -> str:
        """The commonest word of the evidence (0 grade, 1 venue, 2 mark), empty if none is said.

        The commonest grade is one of working tubes: what no grade is said of is taken as working.
        """
        against = self.fit.factors.against[number] if self.fit.factors else ""
        return "" if against in (UNSAID, *LOWER_GRADES) else against

    def usual_of(self, subject: Subject) -> str:
        """The commonest grade of a set, unit or book in its own evidence, of anything else in all of it."""
        return self.own_usual.get(subject, "") or self.usual(0)

    def _usual(self, number: int, words: tuple[str, ...]) -> int:
        word = self.usual(number)
        return words.index(word) if word else NOT_SAID

    @property
    def venue(self) -> int:
        """The place of the venue that values are levelled to."""
        return VENUES.index(self.market.venue) if self.market.venue else self._usual(1, VENUES)


@dataclass(frozen=True)
class Priced(Levels):
    """Levels with the evidence itself as arrays. ``at``: the place of each of its rows in ``columns``."""

    exchange: Exchange
    columns: Columns
    at: Whole
    evidence: Evidence
    weighting: Weighting | None = None

    def rows_of(self, subject: Subject) -> list[int]:
        """The rows of a subject, the oldest sale first."""
        rows = np.flatnonzero(self.evidence.type == self.subjects.get(subject, -1))
        order = np.lexsort((np.maximum(self.columns.key[self.at[rows]], 0), self.evidence.day[rows]))
        return list(rows[order].tolist())

    def counts(self, row: int) -> bool:
        """Whether a row is part of the estimate."""
        return bool(self.fit.why[row] == USED)

    def reason(self, row: int) -> str:
        """Why a row does not count; empty where it does."""
        why = int(self.fit.why[row])
        return self._no_rate(*self._money(row)) if why == NO_RATE else REASONS[why]

    def left_out(self) -> Counter[str]:
        """How many rows do not count, by the reason."""
        by_place = np.bincount(self.fit.why, minlength=len(REASONS))
        count = Counter({REASONS[why]: int(many) for why, many in enumerate(by_place) if many and why != USED})
        if count.pop(REASONS[NO_RATE], 0):
            lost = Counter(self._money(row) for row in np.flatnonzero(self.fit.why == NO_RATE).tolist())
            for money, many in lost.items():
                count[self._no_rate(*money)] += many
        return count

    def without_rate(self) -> tuple[int, date | None]:
        """How many sales lack a rate of exchange, and where rates end, if before one of them."""
        days, last = self.evidence.day[self.fit.why == NO_RATE], self.exchange.rates.last
        return len(days), last if len(days) and days.max() > last.toordinal() else None

    def brought(self, rows: Sequence[int]) -> list[Brought]:
        """Some of the rows as sales, in the money of the answer; what is not at hand as such is read (``AT_ONCE``)."""
        keys = self.columns.key[self.at[rows]].tolist() if len(rows) else []
        written = written_sales([key for key in keys if key > 0])
        sales = self.columns.sales
        return [self.exchange.brought(written[key] if key > 0 else sales[-1 - key]) for key in keys]

    def _money(self, row: int) -> tuple[str, date]:
        """Currency and day of a row."""
        said = self.columns.saids[self.columns.said[self.at[row]]]
        return said.currency, date.fromordinal(int(self.evidence.day[row]))

    def _no_rate(self, currency: str, day: date) -> str:
        try:
            self.exchange.factor(currency, day)
        except ValueError as why:
            return str(why)
        return REASONS[NO_RATE]

    def levels(self) -> Levels:
        """The same without the evidence, to be kept."""
        return Levels(**{field.name: getattr(self, field.name) for field in fields(Levels)})


def priced(
    currency: str, on: date, *, basis: str, real: bool = False, weighting: Weighting | None = None,
    found: Columns | None = None, sets: bool = False, own: bool = True,
) -> Priced:  # fmt: skip
    """All evidence of tubes, or of ``sets`` and what belongs to them, in one currency on one day.

    ``found``: only this, or all of it where somebody has read it already; ``own``: whether the house's own purchases
    and sales are part of all of it. What a dud tube is worth beside a good one
    says nothing of sets: the two tell their factors apart. Raises ValueError for a code that is no currency.
    """
    money, known = exchange(currency, on, real=real), knowledge()
    told = columns(own=own) if found is None else found
    number, mark = np.full(len(told.whats), -1, dtype=np.int64), np.full(len(told.whats), NOT_SAID, dtype=np.int8)
    subjects = [subject_of(what, known) for what in told.whats]
    here = {subject for subject in subjects if subject is not None and (subject.what in EQUIPMENT) == sets}
    numbers = {subject: at for at, subject in enumerate(sorted(here))}  # not as the rows come: a copy says the same
    for place, (what, subject) in enumerate(zip(told.whats, subjects, strict=True)):
        if subject in here:
            number[place] = numbers[subject]
            mark[place] = _place(mark_of(what.designation, what.type, known), MARKS)
    at = np.flatnonzero(number[told.of] >= 0)
    evidence = _evidence(money, told, at, number[told.of[at]], mark[told.of[at]])
    families, kinds = families_of(numbers, known)
    evidence = delivered(evidence) if basis == REPLACEMENT else evidence
    fitted = fit(evidence, families, on.toordinal(), weighting)
    return Priced(
        on, money.currency, real, basis, numbers, families, kinds, fitted, _own_usual(numbers, evidence, fitted), money,
        told, at, evidence, weighting,
    )  # fmt: skip


def _evidence(money: Exchange, told: Columns, at: Whole, number: Whole, mark: Small) -> Evidence:
    """Rows of the columns at some places as evidence. ``number`` and ``mark``: of each its subject and its mark."""
    said, day, saids = told.said[at], told.day[at], told.saids
    factor = _factors(money, saids, said, day)
    return evidence_of(
        number, told.each[at] * factor, day,
        grades=np.array([_place(one.grade, GRADES) for one in saids], dtype=np.int8)[said],
        venues=np.array([_place(one.venue, VENUES) for one in saids], dtype=np.int8)[said],
        marks=mark,
        sold=np.array([one.kind != ASKING for one in saids], dtype=np.bool_)[said],
        shared=np.array([one.kind == SHARE for one in saids], dtype=np.bool_)[said],
        arms_length=np.array([one.arms_length != NO for one in saids], dtype=np.bool_)[said],
        postage=told.postage[at] * factor,
    )  # fmt: skip


def _factors(money: Exchange, saids: Sequence[Said], said: Whole, day: Whole) -> Vector:
    """Of every row what one of its currency is in the money of the answer; not a number where there is no rate."""
    codes = list(dict.fromkeys(one.currency for one in saids))
    code = np.array([codes.index(one.currency) for one in saids], dtype=np.int64)[said]
    first = int(day.min()) if len(day) else 0
    far = int(day.max()) - first + 1 if len(day) else 1
    pairs, which = np.unique(code * far + (day - first), return_inverse=True)  # few: each is looked up once
    found = np.full(len(pairs), np.nan)
    for place, pair in enumerate(pairs.tolist()):
        with suppress(ValueError):
            found[place] = float(money.factor(codes[pair // far], date.fromordinal(pair % far + first))[0])
    return found[which]


def _own_usual(numbers: Mapping[Subject, int], evidence: Evidence, fitted: Fit) -> dict[Subject, str]:
    equipment = {subject: number for subject, number in numbers.items() if subject.what in EQUIPMENT}
    if not equipment:
        return {}
    words = (*GRADES, UNSAID)  # not said is -1, the last
    counted = evidence.only(fitted.why == USED)
    count = np.zeros((len(numbers), len(words)), dtype=np.int64)
    np.add.at(count, (counted.type, counted.grade), 1)
    return {subject: words[int(np.argmax(count[at]))] for subject, at in equipment.items() if count[at].any()}


def _place(word: str, words: tuple[str, ...]) -> int:
    return words.index(word) if word in words else NOT_SAID
