"""What lists of tests, instruments and matched sets can be narrowed by; page and API share it."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.house.filters import DayFilter, TextFilter, WordsFilter
from inventory.running.models import Instrument, MatchedSet, TubeTest
from tubes.queries import types_named


def _test_bears(word: str) -> Q:
    return (
        Q(tube__item__tag__iexact=word)
        | Q(note__icontains=word)
        | Q(by_whom__icontains=word)
        | Q(settings__icontains=word)
    )


def _instrument_bears(word: str) -> Q:
    return Q(name__icontains=word) | Q(makers_kind__icontains=word) | Q(serial__icontains=word)


class TestFilter(filters.FilterSet):
    __test__ = False  # no test case, whatever its name says

    type = TextFilter(method="by_type", label="Type or any number")
    instrument = filters.ModelChoiceFilter(queryset=Instrument.objects.all(), label="Instrument")
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="To")
    text = WordsFilter(_test_bears, label="Tag, or words of the note")

    class Meta:
        model = TubeTest
        fields: list[str] = []

    def by_type(self, rows: QuerySet[TubeTest], name: str, value: Any) -> QuerySet[TubeTest]:
        return rows.filter(tube__type__name__in=types_named(value))


class InstrumentFilter(filters.FilterSet):
    scale = filters.ChoiceFilter(choices=Instrument.SCALES, label="Scale")
    text = WordsFilter(_instrument_bears, label="Words of the name, kind, serial")

    class Meta:
        model = Instrument
        fields: list[str] = []


class MatchedSetFilter(filters.FilterSet):
    standing = filters.ChoiceFilter(
        choices=[("together", "kept together"), ("split", "split")], method="by_standing", label="Standing"
    )

    class Meta:
        model = MatchedSet
        fields: list[str] = []

    def by_standing(self, rows: QuerySet[MatchedSet], name: str, value: Any) -> QuerySet[MatchedSet]:
        return rows.filter(split_on__isnull=value == "together")
