"""Changes of price evidence."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.holdings.actions.register import check_day
from inventory.house.writing import keep_history, refuse, write
from inventory.sets.models import SetModel
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.duplicates import twins_of
from inventory.valuation.rules.entry import Entry
from tubes.models import TubeType
from tubes.queries import knowledge, type_named

AT_ONCE = 500


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
    """Give a row of neither the set model that it names, else the tube type that it names alone (two queries)."""
    if row.type is None and row.set_model is None and row.designation:
        row.set_model = SetModel.objects.filter(name__iexact=row.designation).first()  # "Petrel 40" is no tube 40
        row.type = None if row.set_model else settled([row.designation]).get(row.designation)


def settled(designations: Sequence[str]) -> dict[str, TubeType]:
    """The tube type that each designation names alone; those that name none or two are left out (one query)."""
    known, names = knowledge(), {}
    for text in dict.fromkeys(designations):
        try:
            names[text] = type_named(text, known)
        except ValueError:
            continue
    rows = {row.name: row for row in TubeType.objects.filter(name__in=set(names.values()))}
    return {text: rows[name] for text, name in names.items() if name in rows}


def row_of(entry: Entry, type: TubeType | None = None, set_model: SetModel | None = None) -> PriceEvidence:
    """A row that says what an entry says, not written."""
    return PriceEvidence(
        on=entry.on, designation=entry.designation, type=type, set_model=set_model, grade=entry.grade,
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
