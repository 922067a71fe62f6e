"""Frozen appraisals: the list, one in full, two beside each other."""

import hashlib
import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from inventory.valuation.models import Appraisal, AppraisalLine
from inventory.valuation.queries.worth import Collection
from inventory.valuation.rules.compare import Comparison, Valued, compare


def appraisals() -> QuerySet[Appraisal]:
    """All appraisals, the latest first, without what went into them."""
    return Appraisal.objects.defer("inputs")


def line_cells(row: AppraisalLine) -> list[Any]:
    """What a line says, in plain values that a database gives back as they went in."""
    money = (None if one is None else f"{one:.2f}" for one in (row.amount, row.low, row.high))
    return [
        row.tag, row.what, row.kind, row.grade, row.prices_of, row.place, row.within, *money, row.comparables,
        row.insured,
    ]  # fmt: skip


def beside(then: Appraisal, now: Appraisal) -> Comparison:
    """Two appraisals in one currency and on one basis, line by line (three queries). Raises ValueError for others."""
    for name in ("currency", "basis", "real"):
        if getattr(then, name) != getattr(now, name):
            told = f"{getattr(then, name)} and {getattr(now, name)}"
            raise ValueError(f"They do not compare: {Appraisal._meta.get_field(name).verbose_name} {told}.")  # type: ignore[union-attr]
    prices = {
        (key, grade): Decimal(amount)
        for key, by_grade in then.inputs.get("prices", {}).items()
        for grade, amount in by_grade.items()
    }
    return compare(_lines(then), _lines(now), prices)


def _lines(appraisal: Appraisal) -> list[Valued]:
    """The lines that count; one that is contained in the value of its set is worth nothing by itself."""
    rows = appraisal.lines.filter(within="").values_list("tag", "what", "grade", "amount", "prices_of")  # type: ignore[attr-defined]
    return [Valued(*row) for row in rows]


def last_like(found: Collection) -> Appraisal | None:
    """The latest appraisal of the same things, in the same currency and on the same basis (one query)."""
    market = found.market
    rows = appraisals().filter(currency=market.currency, basis=market.basis, real=market.real, place=found.place)
    return rows.filter(struck="", on__lte=market.on).first()


def digest_of(inputs: dict[str, Any], lines: Iterable[list[Any]]) -> str:
    """A sum over all that an appraisal says; it is another one as soon as anything of it is changed."""
    summed = hashlib.sha256(json.dumps(inputs, sort_keys=True, ensure_ascii=False).encode())
    for cells in lines:
        summed.update(json.dumps(cells, ensure_ascii=False).encode())
    return summed.hexdigest()


def unaltered(appraisal: Appraisal) -> bool:
    """Whether an appraisal still says what it said when it was kept (one query)."""
    lines = (line_cells(row) for row in appraisal.lines.order_by("pk").iterator(chunk_size=2000))  # type: ignore[attr-defined]
    return digest_of(appraisal.inputs, lines) == appraisal.digest
