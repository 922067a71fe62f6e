"""What lists of price evidence can be narrowed by; page and API share it."""

from functools import reduce
from operator import or_
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.house.filters import TextFilter, WordsFilter
from inventory.house.form_fields import DayField
from inventory.pairing.models import CompanionKind
from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.queries.naming import equipment_named
from inventory.valuation.rules import words
from tubes.queries import knowledge, types_named

OF_NOTHING = Q(**{f"{name}__isnull": True for name in SUBJECTS})


class DayFilter(filters.Filter):
    """A day, with the browser's own picker."""

    field_class = DayField


def _bears(word: str) -> Q:
    return reduce(or_, (Q(**{f"{name}__icontains": word}) for name in ("designation", "source", "note", "by_whom")))


def _choices(known: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(word, word) for word in known]


class EvidenceFilter(filters.FilterSet):
    of = TextFilter(method="by_what", label="Type by any number, or a model of set or unit")
    grade = filters.ChoiceFilter(choices=_choices(words.GRADES), label="Grade")
    kind = filters.ChoiceFilter(choices=_choices(words.KINDS), label="Sold or asking")
    venue = filters.ChoiceFilter(choices=_choices(words.VENUES), label="Venue")
    currency = TextFilter(method="by_currency", label="Currency")
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="To")
    settled = filters.ChoiceFilter(
        choices=[("yes", "settled"), ("no", "not settled"), ("out", "struck out")], method="by_settled",
        label="What it is",
    )  # fmt: skip
    text = WordsFilter(_bears, label="Words of what is written, source, note")

    class Meta:
        model = PriceEvidence
        fields: list[str] = []

    def by_what(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        """Of what the text names, under any number; rows that are not settled by their very words."""
        loose = OF_NOTHING & Q(designation__iexact=value.strip())
        model = Q(set_model__name__icontains=value.strip()) | Q(unit_model__name__icontains=value.strip())
        if isinstance(kind := getattr(equipment_named(value, knowledge()), "row", None), CompanionKind):
            model |= Q(companion_kind=kind)
        return rows.filter(Q(type__name__in=types_named(value)) | model | loose)

    def by_currency(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        return rows.filter(currency=value.strip().upper())

    def by_settled(self, rows: QuerySet[PriceEvidence], name: str, value: Any) -> QuerySet[PriceEvidence]:
        if value == "out":
            return rows.exclude(struck="")
        return rows.filter(~OF_NOTHING if value == "yes" else OF_NOTHING, struck="")
