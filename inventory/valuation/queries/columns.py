"""All price evidence in columns: a million rows are read as numbers, and only those that are told become sales again.

What rows say is coded: few of them differ in what they are of and in their words. They are kept by this process until a
row is written; the keeper's own purchases and sales are read at every asking.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from django.db import connection
from django.db.models import CharField, ExpressionWrapper, F, FloatField, QuerySet, Value
from django.db.models.functions import Cast, Coalesce

from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.queries.sales import companion_name, own_sales
from inventory.valuation.queries.states import state_of_rows
from inventory.valuation.rules.evidence import UNDATED, Vector, Whole
from inventory.valuation.rules.sale import Sale
from tubes.models import TubeType
from tubes.queries.keeping import kept

AT_ONCE = 2_000
DAY_ONE = date(1970, 1, 1).toordinal()  # numpy counts days from it


@dataclass(frozen=True, slots=True)
class What:
    """What rows are of, by names as ``Sale`` has them; what is empty does not apply."""

    type: str
    set_model: str
    unit_model: str
    companion: str
    designation: str


@dataclass(frozen=True, slots=True)
class Said:
    """The words of rows."""

    grade: str
    kind: str
    venue: str
    currency: str
    arms_length: str


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Rows in arrays, one place a row. ``key``: its number; of ``sales`` -1 for the first, -2 for the second.

    ``of`` and ``said`` are places in ``whats`` and ``saids``; ``each`` and ``postage`` are for one, in the money of the
    row, the first with the buyer's premium, the second not a number where it is not said.
    """

    key: Whole
    day: Whole
    of: Whole
    said: Whole
    each: Vector
    postage: Vector
    whats: tuple[What, ...]
    saids: tuple[Said, ...]
    sales: tuple[Sale, ...]

    def __len__(self) -> int:
        return len(self.key)


@dataclass(frozen=True, slots=True, eq=False)
class _Written:
    """The rows that were written down; what they are of still by number."""

    whats: tuple[tuple[Any, ...], ...]
    saids: tuple[Said, ...]
    key: Whole
    day: Whole
    of: Whole
    said: Whole
    each: Vector
    postage: Vector


class _Codes(dict[Any, int]):
    """A number for every different thing, in the order in which they come."""

    def __missing__(self, what: Any) -> int:
        self[what] = number = len(self)
        return number

    def of(self, things: Sequence[Any]) -> Whole:
        return np.fromiter(map(self.__getitem__, things), np.int64, len(things))


def columns(*, own: bool = True) -> Columns:
    """All evidence that is not struck out, in the order in which it was written; then the keeper's
    own, unless not ``own``.

    Asking prices, prices not at arm's length and rows of no settled type are among them: whoever asks says why they do
    not count. Twelve queries at most.
    """
    told, ours = (
        kept("price evidence", _written, lambda: state_of_rows([PriceEvidence]), most=1),
        columns_of(own_sales() if own else []),
    )
    names, whats, saids = _names(), _Codes(), _Codes()
    of = whats.of([_named(one, names) for one in told.whats])[told.of], whats.of(ours.whats)[ours.of]
    said = saids.of(told.saids)[told.said], saids.of(ours.saids)[ours.said]
    return Columns(
        np.concatenate((told.key, ours.key)), np.concatenate((told.day, ours.day)), np.concatenate(of),
        np.concatenate(said), np.concatenate((told.each, ours.each)), np.concatenate((told.postage, ours.postage)),
        tuple(whats), tuple(saids), ours.sales,
    )  # fmt: skip


def columns_of(sales: Sequence[Sale]) -> Columns:
    """Sales that somebody has read, in columns."""
    whats, saids = _Codes(), _Codes()
    of = whats.of([What(one.type, one.set_model, one.unit_model, one.companion, one.designation) for one in sales])
    said = saids.of([Said(one.grade, one.kind, one.venue, one.each.currency, one.arms_length) for one in sales])
    days = [one.on.toordinal() if one.on else UNDATED for one in sales]
    return Columns(
        -1 - np.arange(len(sales)), np.array(days, dtype=np.int64), of, said,
        np.array([float(one.each.amount) for one in sales], dtype=np.float64),
        np.array([float(one.postage_each.amount) if one.postage_each else np.nan for one in sales], dtype=np.float64),
        tuple(whats), tuple(saids), tuple(sales),
    )  # fmt: skip


def _names() -> tuple[dict[int, str], ...]:
    """Names of types, set models, unit models and kinds of companions by number, as ``SUBJECTS`` (four queries)."""
    kinds = CompanionKind.objects.values_list("pk", "name", "set_model__name")
    named: list[dict[int, str]] = [
        dict(model.objects.values_list("pk", "name")) for model in (TubeType, SetModel, UnitModel)
    ]
    return *named, {key: companion_name(kind, model) for key, kind, model in kinds}


def _named(parts: tuple[Any, ...], names: tuple[dict[int, str], ...]) -> What:
    *keys, designation = parts
    kind, model, unit, companion = (table.get(key, "") for key, table in zip(keys, names, strict=True))
    return What(kind, model, unit, companion, designation)


def _for_one(amount: str, percent: Any) -> Any:
    whole = Cast(amount, FloatField()) * percent / (Cast("quantity", FloatField()) * Value(100.0))
    return ExpressionWrapper(whole, output_field=FloatField())


def _written() -> _Written:
    """Every row in numbers (one query)."""
    premium = Coalesce(Cast("premium_pct", FloatField()), Value(0.0)) + Value(100.0)
    numbers = Cast(F("on"), CharField()), _for_one("amount", premium), _for_one("postage", Value(100.0))
    of, words = (*(f"{name}_id" for name in SUBJECTS), "designation"), tuple(Said.__dataclass_fields__)
    rows = PriceEvidence.objects.filter(struck="").order_by("pk").values_list("pk", *numbers, *of, *words)
    whats, saids, behind = _Codes(), _Codes(), 4 + len(of)
    parts: list[tuple[Any, ...]] = []
    for batch in _batches(rows):
        key, day, each, postage = ([row[column] for row in batch] for column in range(4))
        days = np.array(day, dtype="datetime64[D]").astype(np.int64) + DAY_ONE
        parts.append((
            np.array(key, dtype=np.int64), days, whats.of([row[4:behind] for row in batch]),
            saids.of([row[behind:] for row in batch]), np.array(each, dtype=np.float64),
            np.array(postage, dtype=np.float64),
        ))  # fmt: skip
    empty = [np.zeros(0, np.int64)] * 4 + [np.zeros(0)] * 2
    arrays: list[Any] = list(map(np.concatenate, zip(*parts, strict=True))) if parts else empty
    return _Written(tuple(whats), tuple(Said(*words) for words in saids), *arrays)


def _batches(rows: QuerySet[Any, Any]) -> Iterator[list[tuple[Any, ...]]]:
    """Rows as the database gives them: going through Django's fields takes longer than reading them."""
    sql, given = rows.query.sql_with_params()
    with connection.chunked_cursor() as cursor:
        cursor.execute(sql, given)
        while batch := cursor.fetchmany(AT_ONCE):
            yield batch
