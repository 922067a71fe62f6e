"""Lists of price evidence, and what pages of lower areas show of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from inventory.house.areas import Panel
from inventory.sets.models import SetModel
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.duplicates import OF, looked_alike
from inventory.valuation.queries.sales import Of, own_sales
from inventory.valuation.rules.sale import Sale
from tubes.models import TubeType
from tubes.queries import knowledge, types_named

LATEST = 10  # rows on the page of a type


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a list with how many others look like the same sale."""

    row: PriceEvidence
    twins: int = 0

    def as_dict(self) -> dict[str, Any]:
        """The row as JSON; money as text, ``each`` with the buyer's premium and without postage."""
        row = self.row
        return {
            "row": row.pk, "date": str(row.on), "designation": row.designation,
            "type": row.type.name if row.type else None, "set_model": row.set_model.name if row.set_model else None,
            "unit_model": row.unit_model.name if row.unit_model else None,
            "companion": str(row.companion_kind) if row.companion_kind else None, "grade": row.grade, "kind": row.kind,
            "venue": row.venue, "currency": row.currency,
            "amount": row.money.figure, "quantity": row.quantity,
            "premium_pct": None if row.premium_pct is None else f"{row.premium_pct.normalize():f}",
            "postage": None if row.postage is None else f"{row.postage:.2f}", "each": row.each.figure,
            "arms_length": row.arms_length, "source": row.source, "note": row.note, "struck": row.struck,
            "looks_like_others": self.twins,
        }  # fmt: skip


def evidence_list() -> QuerySet[PriceEvidence]:
    """All price evidence, the latest first; struck rows too."""
    return PriceEvidence.objects.select_related(*OF)


def own_named(text: str) -> list[Sale]:
    """The keeper's own purchases and sales, the latest first, of everything or of what a text names (five queries)."""
    named, word = types_named(text) if text else set(), text.strip().casefold()
    found = [
        one
        for one in own_sales()
        if not word
        or one.type in named
        or any(word in name.casefold() for name in (one.set_model, one.unit_model, one.companion))
        or (not one.type and one.designation.casefold() == word)
    ]
    return sorted(found, key=lambda one: one.on or date.min, reverse=True)


def lines(rows: Iterable[PriceEvidence]) -> list[Line]:
    """Rows of a list with what looks like the same sale (one query)."""
    shown = list(rows)
    twins = looked_alike(shown)
    return [Line(row, twins.get(row.pk, 0)) for row in shown]


@dataclass(frozen=True, slots=True)
class Shown:
    """Evidence of one type or set model: the latest rows, how many there are, the keeper's own, the list's address."""

    lines: list[Line]
    count: int
    own: list[Sale]
    query: str


def of_type(type: TubeType) -> Panel:
    """The evidence of a tube type, under all its numbers (four queries)."""
    names = knowledge().kin.same_as(type.name)
    found = evidence_list().filter(type__name__in=names, struck="")
    return _panel(type, found, own_sales(Of(types=names)), type.name)


def of_set_model(model: SetModel) -> Panel:
    """The evidence of a set model (four queries)."""
    return _panel(
        model, evidence_list().filter(set_model=model, struck=""), own_sales(Of(set_models={model.name})), model.name
    )


def _panel(subject: Any, found: QuerySet[PriceEvidence], own: list[Sale], query: str) -> Panel:
    shown = Shown(lines(found[:LATEST]), found.count(), own, query)
    return Panel("Prices", "valuation/panel.html", subject, shown.lines, shown)
