"""Frozen appraisals: the list, one in full, two beside each other."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet

from inventory.valuation.models import Appraisal, AppraisalLine
from inventory.valuation.queries.worth import Collection, Line
from inventory.valuation.rules.compare import Comparison, Valued, compare
from inventory.valuation.rules.packed import Rows


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
    """Two appraisals in one currency and on one basis, line by line. Raises ValueError for others.

    Three queries, none of which reads all that went into them.
    """
    if then.pk == now.pk:
        raise ValueError(f"{then} is one and the same: choose two.")
    for name in ("currency", "basis", "real"):
        if getattr(then, name) != getattr(now, name):
            told = f"{getattr(then, name)} and {getattr(now, name)}"
            raise ValueError(f"They do not compare: {Appraisal._meta.get_field(name).verbose_name} {told}.")  # type: ignore[union-attr]
    return compare(_lines(then), _lines(now), _prices_then(then))


def since(then: Appraisal, found: Collection) -> Comparison:
    """What became of the value since an appraisal of the same things, in the same currency and on the same basis (two
    queries).
    """
    now = [
        Valued(line.thing.tag, line.what, line.thing.grade, line.amount, prices_key(line))
        for line in found.lines
        if line.counts
    ]
    return compare(_lines(then), now, _prices_then(then))


def prices_key(line: Line) -> str:
    """The type, model or mark by whose prices a line goes, and for tubes whether they bear a military mark."""
    told = line.prices_of
    if line.thing.type:
        told += f", {line.mark or 'mark not said'}"
    return told[:100]


def _prices_then(then: Appraisal) -> dict[tuple[str, str], Decimal]:
    told = Appraisal.objects.filter(pk=then.pk).values_list("inputs__prices", flat=True).first()
    return {
        (key, grade): Decimal(amount) for key, by_grade in (told or {}).items() for grade, amount in by_grade.items()
    }


def _lines(appraisal: Appraisal) -> list[Valued]:
    """The lines that count; one that is contained in the value of its set is worth nothing by itself."""
    rows = appraisal.lines.filter(within="").values_list("tag", "what", "grade", "amount", "prices_of")  # type: ignore[attr-defined]
    return [Valued(*row) for row in rows]


def all_like(found: Collection) -> list[Appraisal]:
    """Appraisals of the same things, in the same currency and on the same basis, the latest first (one query)."""
    market = found.market
    rows = appraisals().filter(currency=market.currency, basis=market.basis, real=market.real, place=found.place)
    return list(rows.filter(struck="", on__lte=market.on))


def like(row: Appraisal) -> list[Appraisal]:
    """Appraisals of the same things, in the same currency and on the same basis, with this one, the oldest first."""
    rows = appraisals().filter(currency=row.currency, basis=row.basis, real=row.real, place=row.place)
    return list(rows.filter(Q(struck="") | Q(pk=row.pk)).order_by("on", "pk"))


def kept_evidence(appraisal: Appraisal) -> tuple[Sequence[dict[str, Any]], int]:
    """The evidence that an appraisal rests on, of many rows only those that are asked for; and how many of it count."""
    inputs = appraisal.inputs
    if "evidence_packed" in inputs:
        return Rows(inputs["evidence_packed"], inputs["evidence_rows"]), inputs["evidence_counted"]
    rows = inputs.get("evidence", [])
    return rows, sum(not one["left_out"] for one in rows)


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
