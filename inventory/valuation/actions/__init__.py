"""Changes of price evidence."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.holdings.actions.register import check_day
from inventory.house.writing import keep_history, refuse, write
from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.queries.duplicates import twins_of
from inventory.valuation.queries.naming import Named, named_of
from inventory.valuation.rules.entry import Entry

AT_ONCE = 500
MOST_SETTLED = 1000


@transaction.atomic
def save_evidence(
    row: PriceEvidence, *, today: date, by: Any, reason: str = "", besides: bool = False
) -> PriceEvidence:  # fmt: skip
    """Write a price or its correction. What is written settles its type where it names one alone.

    ``besides``: write it although one that looks the same is there (same day, type, amount, source); else that is
    refused, and names the other.
    """
    check_day(row.on, "on", today)
    row.designation = row.designation.strip()
    settle(row)
    row.full_clean()
    if not besides and not row.pk and (twins := twins_of(row)):
        one = twins[0]
        more = f", struck out: {one.struck}" if one.struck else ""
        told = f"Number {one.pk} says the same day, type, amount and source ({one}{more})."
        raise refuse("besides", f"{told} Tick this where it is another sale.")
    return write(row, by=by, reason=reason)


def settle(row: PriceEvidence) -> None:
    """Give a row that is of nothing yet what it names alone (four queries)."""
    if row.of is None and (found := named_of([row.designation]).get(row.designation)):
        setattr(row, found.field, found.row)


def settleable() -> list[PriceEvidence]:
    """Rows of nothing whose words name one thing alone by now (five queries)."""
    loose = PriceEvidence.objects.filter(struck="", **{f"{name}__isnull": True for name in SUBJECTS})
    named = named_of(list(loose.order_by().values_list("designation", flat=True).distinct()))
    rows = list(loose.filter(designation__in=named).order_by("pk")[:MOST_SETTLED]) if named else []
    for row in rows:
        found = named[row.designation]
        setattr(row, found.field, found.row)
    return rows


@transaction.atomic
def settle_rows(*, by: Any) -> int:
    """Settle what names one thing alone by now, ``MOST_SETTLED`` rows at most at one time; how many."""
    rows = settleable()
    for row in rows:
        write(row, by=by, reason=f"names {row.of} alone by now"[:100])
    return len(rows)


def row_of(entry: Entry, of: Named | None = None) -> PriceEvidence:
    """A row that says what an entry says, not written."""
    return PriceEvidence(
        on=entry.on, designation=entry.designation, **({of.field: of.row} if of else {}), grade=entry.grade,
        kind=entry.kind, venue=entry.venue, currency=entry.money.currency, amount=entry.money.amount,
        quantity=entry.quantity, premium_pct=entry.premium_pct, postage=entry.postage,
        arms_length=entry.arms_length, source=entry.source, note=entry.note,
    )  # fmt: skip


@transaction.atomic
def write_rows(rows: Sequence[PriceEvidence], *, by: Any, reason: str) -> int:
    """Write rows made by ``row_of`` from entries that were read, all or none; how many."""
    made = list(PriceEvidence.objects.bulk_create(rows, batch_size=AT_ONCE))
    keep_history(made, "+", by=by, reason=reason[:100], at=timezone.now())
    return len(made)
