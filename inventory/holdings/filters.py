"""What lists of tubes can be narrowed by; page and API share it."""

from functools import reduce
from operator import or_
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.holdings.models import Movement, PartLot, Place, Tube, Want
from inventory.holdings.queries import bears_number, places_within
from inventory.house.filters import TextFilter, WordsFilter
from tubes.queries import holding, types_named


def _tube_bears(word: str) -> Q:
    words = [Q(**{f"{field}__icontains": word}) for field in ("marked", "maker", "date_code", "condition", "note")]
    return reduce(or_, words) | Q(item__tag__iexact=word) | bears_number(word)


def _lot_bears(word: str) -> Q:
    words = [Q(**{f"{field}__icontains": word}) for field in ("name", "value", "maker", "condition", "note")]
    return reduce(or_, words) | Q(item__tag__iexact=word) | bears_number(word)


def _want_bears(word: str) -> Q:
    return Q(thing__icontains=word) | Q(purpose__icontains=word) | Q(note__icontains=word)


def _move_bears(word: str) -> Q:
    return Q(item__tag__iexact=word) | Q(from_path__icontains=word) | Q(to_path__icontains=word)


class TubeFilter(filters.FilterSet):
    type = TextFilter(method="by_type", label="Type or any number")
    state = filters.ChoiceFilter(choices=Tube.STATES, label="State")
    place = filters.ModelChoiceFilter(queryset=Place.objects.all(), method="by_place", label="Place")
    maker = TextFilter(method="by_maker", label="Maker")
    settled = filters.ChoiceFilter(
        choices=[("yes", "settled"), ("no", "not settled")], method="by_settled", label="Type settled"
    )
    text = WordsFilter(_tube_bears, label="Words in mark, maker, date, notes, tag, serial, own number")

    class Meta:
        model = Tube
        fields: list[str] = []

    def by_type(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        """Tubes that are what the text names, under any number; untyped ones with that very mark too."""
        bearing = Q(type__isnull=True) & holding("marked", value)
        return rows.filter(Q(type__name__in=types_named(value)) | bearing)

    def by_maker(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        """Tubes whose maker is the text, whatever its case; where none is, those whose maker has it in it."""
        whole = rows.filter(maker__iexact=value)
        return whole if whole.exists() else rows.filter(maker__icontains=value)

    def by_settled(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        return rows.filter(type__isnull=value == "no")

    def by_place(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        return rows.filter(item__place__in=places_within(value))


class PartFilter(filters.FilterSet):
    text = WordsFilter(_lot_bears, label="Words in name, value, maker, notes, tag, own number")
    place = filters.ModelChoiceFilter(queryset=Place.objects.all(), method="by_place", label="Place")
    to_count = filters.ChoiceFilter(choices=[("yes", "wants counting")], method="by_to_count", label="Quantity")

    class Meta:
        model = PartLot
        fields: list[str] = []

    def by_place(self, rows: QuerySet[PartLot], name: str, value: Any) -> QuerySet[PartLot]:
        return rows.filter(item__place__in=places_within(value))

    def by_to_count(self, rows: QuerySet[PartLot], name: str, value: Any) -> QuerySet[PartLot]:
        """Guessed quantities, and those that are not known."""
        return rows.filter(Q(to_count=True) | Q(least__isnull=True, most__isnull=True))


class WantFilter(filters.FilterSet):
    type = TextFilter(method="by_type", label="Type or any number")
    text = WordsFilter(_want_bears, label="Words in what, for what, note")

    class Meta:
        model = Want
        fields: list[str] = []

    def by_type(self, rows: QuerySet[Want], name: str, value: Any) -> QuerySet[Want]:
        """Wants of what the text names, under any number."""
        return rows.filter(Q(type__name__in=types_named(value)) | Q(type__isnull=True, thing__icontains=value.strip()))


class MovementFilter(filters.FilterSet):
    text = WordsFilter(_move_bears, label="Tag or words of a place")
    since = filters.DateFilter(field_name="on", lookup_expr="gte", label="From")
    until = filters.DateFilter(field_name="on", lookup_expr="lte", label="To")

    class Meta:
        model = Movement
        fields: list[str] = []
