"""Evidence that is there twice, or that looks as if it were."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.rules.entry import Entry

ALIKE = ("on", "what", "amount", "currency", "source")
AT_ONCE = 400  # days asked for in one query
Key = tuple[Any, ...]
OF = (*SUBJECTS, "companion_kind__set_model")  # what is fetched with rows, so that each can say what it is of


def same_key(entry: Entry, what: str) -> Key:
    """What makes two rows the very same sale: all that was written but the note. ``what``: type, model or words."""
    return (
        *alike_key(entry, what), entry.grade, entry.kind, entry.venue, entry.quantity,
        _number(entry.premium_pct), _number(entry.postage), entry.arms_length,
    )  # fmt: skip


def alike_key(entry: Entry, what: str) -> Key:
    """What makes two rows look like one sale: day, what, amount, source."""
    return entry.on, what, _number(entry.money.amount), entry.money.currency, " ".join(entry.source.casefold().split())


def what_of(designation: str, of: str = "") -> str:
    """What a row is of: the name of what it is settled as, whatever it was called, else the words."""
    return of or " ".join(designation.casefold().split())


def _number(amount: Decimal | None) -> Decimal | None:
    return None if amount is None else amount.normalize()


def kept_on(days: Iterable[date]) -> list[PriceEvidence]:
    """The rows of some days, struck ones too (a query for every ``AT_ONCE`` days)."""
    rows: list[PriceEvidence] = []
    wanted = sorted(set(days))
    for at in range(0, len(wanted), AT_ONCE):
        some = wanted[at : at + AT_ONCE]
        rows += PriceEvidence.objects.filter(on__in=some).select_related(*OF).order_by("pk")
    return rows


def row_what(row: PriceEvidence) -> str:
    return what_of(row.designation, str(row.of or ""))


def by_key(rows: Iterable[PriceEvidence], key: Any) -> dict[Key, list[PriceEvidence]]:
    """Rows by ``same_key`` or ``alike_key``, each list in the order of entry."""
    found: dict[Key, list[PriceEvidence]] = defaultdict(list)
    for row in rows:
        found[key(row.entry, row_what(row))].append(row)
    return found


def twins_of(row: PriceEvidence) -> list[PriceEvidence]:
    """Other rows that look like the same sale (one query)."""
    wanted = alike_key(row.entry, row_what(row))
    return [one for one in kept_on([row.on]) if one.pk != row.pk and alike_key(one.entry, row_what(one)) == wanted]


def looked_alike(rows: Sequence[PriceEvidence]) -> dict[int, int]:
    """Of each row that is not struck out how many others, not struck out either, look like the same sale."""
    there = by_key((row for row in kept_on(row.on for row in rows) if not row.struck), alike_key)
    return {
        row.pk: count - 1
        for row in rows
        if not row.struck and (count := len(there[alike_key(row.entry, row_what(row))])) > 1
    }
