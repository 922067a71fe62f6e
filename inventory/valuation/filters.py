"""What lists of price evidence can be narrowed by; page and API share it."""

from functools import reduce
from operator import or_
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.house.filters import DayFilter, ListFilter, TextFilter, WordsFilter
from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.queries.naming import equipment_named
from inventory.valuation.rules import words
from tubes.models import TubeType
from tubes.queries import knowledge, types_named

OF_NOTHING = Q(**{f"{name}__isnull": True for name in SUBJECTS})


def _bears(word: str) -> Q:
    return reduce(or_, (Q(**{f"{name}__icontains": word}) for name in ("designation", "source", "note", "by_whom")))


def _choices(known: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(word, word) for word in known]


class EvidenceFilter(ListFilter):
    LIST = "prices"

    of = TextFilter(method="by_what", label="Type by any number, or a model of set or unit")
    grade = filters.ChoiceFilter(choices=_choices(words.GRADES), label="Grade")
    kind = filters.ChoiceFilter(choices=_choices(words.KINDS), label="Sold or asking")
    venue = filters.ChoiceFilter(choices=_choices(words.VENUES), label="Venue")
    currency = TextFilter(method="by_currency", label="Currency")
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="To")
    settled = filters.ChoiceFilter(
        choices=[("yes", "clear"), ("no", "not clear: nothing known, or several things"), ("out", "struck out")],
        method="by_settled", label="What was sold is",
    )  # fmt: skip
    text = WordsFilter(_bears, label="Words of what is written, source, note")

    class Meta:
        model = PriceEvidence
        fields: list[str] = []

    def by_what(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        """Of what the text names, under any number; rows that are not settled by their very words."""
        text = value.strip()
        kind = getattr(equipment_named(value, knowledge()), "row", None)
        parts = [  # each by an index of its own: all in one condition, every row would be looked through
            Q(type__in=list(TubeType.objects.filter(name__in=types_named(value)))),
            Q(set_model__in=list(SetModel.objects.filter(name__icontains=text))),
            Q(unit_model__in=list(UnitModel.objects.filter(name__icontains=text))),
            Q(companion_kind__in=[kind] if isinstance(kind, CompanionKind) else []),
            OF_NOTHING & Q(designation__iexact=text),
        ]
        found = (Q(pk__in=PriceEvidence.objects.filter(part).order_by().values("pk")) for part in parts)
        return rows.filter(reduce(or_, found))

    def by_currency(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        return rows.filter(currency=value.strip().upper())

    def by_settled(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        if value == "out":
            return rows.exclude(struck="")
        return rows.filter(~OF_NOTHING if value == "yes" else OF_NOTHING, struck="")
