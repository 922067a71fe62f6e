"""Price evidence as arrays: what an estimate is made of, one place in every array for one row.

Grades, venues and marks are small whole numbers, their place in the tuples of words; ``NOT_SAID`` where the row does
not say. Prices are all in one currency, for one piece, with the buyer's premium (which belongs to the price), before
postage; a price that could not be brought into that currency is not a number.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inventory.valuation.rules.words import GRADES, VENUES

Vector = NDArray[np.float64]
Whole = NDArray[np.int64]
Small = NDArray[np.int8]
Flags = NDArray[np.bool_]

MARKS = CIVILIAN, MILITARY = ("civilian", "military")
ATTRIBUTES = (("grade", GRADES), ("venue", VENUES), ("mark", MARKS))
NOT_SAID = -1
YEAR = 365.2425
UNDATED = 0  # no day; days are counted as ``date.toordinal`` does

USED, ASKING, LATER, NO_DAY, NOT_AT_ARMS_LENGTH, NO_RATE, NO_PRICE, UNWEIGHED, SHARED = range(9)
REASONS = (
    "",
    "asked, not sold",
    "dated after the valuation date",
    "no day of purchase: whether it was later than the valuation date cannot be said",
    "not at arm's length",
    "no rate for its currency and day",
    "the price is not above zero",
    "its age or venue was given no weight",
    "its share of one price for unlike things, by our own values",
)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """One row a place. ``type`` counts from 0; ``postage`` is for one piece, not a number where it is not said.

    ``shared``: the price is a share of one for unlike things, made by values of our own: no evidence of them.
    """

    type: Whole
    price: Vector
    day: Whole
    grade: Small
    venue: Small
    mark: Small
    sold: Flags
    arms_length: Flags
    postage: Vector
    shared: Flags

    def __len__(self) -> int:
        return len(self.type)

    def only(self, rows: Flags | Whole) -> "Evidence":
        """Those rows alone, as flags or as places."""
        return Evidence(*(getattr(self, name)[rows] for name in self.__dataclass_fields__))


@dataclass(frozen=True, slots=True, eq=False)
class Families:
    """Of every type its equivalence group and its kind of tube, as whole numbers of their own, counted from 0.

    A type without relatives has a group of its own; a group lies within one kind (that of its first type).
    """

    group: Whole
    kind: Whole


def evidence_of(
    types: Sequence[int] | Whole,
    prices: Sequence[float] | Vector,
    days: Sequence[int] | Whole,
    *,
    grades: Sequence[int] | Small | Whole | None = None,
    venues: Sequence[int] | Small | Whole | None = None,
    marks: Sequence[int] | Small | Whole | None = None,
    sold: Sequence[bool] | Flags | None = None,
    arms_length: Sequence[bool] | Flags | None = None,
    postage: Sequence[float] | Vector | None = None,
    shared: Sequence[bool] | Flags | None = None,
) -> Evidence:
    """Evidence from plain lists; what is left out is not said, or sold and at arm's length.

    Raises ValueError: lists of different lengths, a number that stands for no word.
    """
    count = len(types)
    small = {}
    for name, given, words in (("grade", grades, GRADES), ("venue", venues, VENUES), ("mark", marks, MARKS)):
        small[name] = np.full(count, NOT_SAID, np.int8) if given is None else np.asarray(given, dtype=np.int8)
        if len(small[name]) and not NOT_SAID <= small[name].min() <= small[name].max() < len(words):
            raise ValueError(f"a {name} is no number from {NOT_SAID} to {len(words) - 1}")
    made = Evidence(
        np.asarray(types, dtype=np.int64),
        np.asarray(prices, dtype=np.float64),
        np.asarray(days, dtype=np.int64),
        **small,
        sold=np.ones(count, np.bool_) if sold is None else np.asarray(sold, dtype=np.bool_),
        arms_length=np.ones(count, np.bool_) if arms_length is None else np.asarray(arms_length, dtype=np.bool_),
        postage=np.full(count, np.nan) if postage is None else np.asarray(postage, dtype=np.float64),
        shared=np.zeros(count, np.bool_) if shared is None else np.asarray(shared, dtype=np.bool_),
    )
    lengths = {len(getattr(made, name)) for name in Evidence.__dataclass_fields__}
    if lengths != {count}:
        raise ValueError(f"arrays of different lengths: {sorted(lengths)}")
    if count and made.type.min() < 0:
        raise ValueError("a type is below 0")
    return made


def alone(types: int) -> Families:
    """Families where nothing is known of kinship: every type a group of its own, all of one kind."""
    return Families(np.arange(types), np.zeros(types, dtype=np.int64))


def left_out(evidence: Evidence, on: int) -> Small:
    """Of each row why it does not count on the valuation date ``on``, a place in ``REASONS``; ``USED`` if it does."""
    why = np.zeros(len(evidence), dtype=np.int8)
    fine = evidence.sold & evidence.arms_length & ~evidence.shared
    fine &= (evidence.day <= on) & (evidence.day > UNDATED)
    fine &= (evidence.price > 0) & (evidence.price < np.inf)
    if not fine.all():
        odd = np.flatnonzero(~fine)
        rows = evidence.only(odd)
        found = np.where(np.isfinite(rows.price), NO_PRICE, NO_RATE)
        for fits, reason in (
            (rows.shared, SHARED),
            (~rows.arms_length, NOT_AT_ARMS_LENGTH),
            (rows.day <= UNDATED, NO_DAY),
            (rows.day > on, LATER),
            (~rows.sold, ASKING),
        ):
            found[fits] = reason
        why[odd] = found
    return why


def delivered(evidence: Evidence) -> Evidence:
    """The same with what it cost to have the piece sent, where the row says it: the cost to obtain another."""
    return replace(evidence, price=evidence.price + np.nan_to_num(evidence.postage, nan=0.0))
