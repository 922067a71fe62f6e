"""What lists of tubes can be narrowed by; page and API share it."""

from collections.abc import Callable
from functools import reduce
from operator import or_
from typing import Any

import django_filters as filters
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from inventory.holdings.filters.things import ThingFilter, ThingWords
from inventory.holdings.models import Movement, PartLot, PartType, Tube, Want
from inventory.holdings.queries.date_codes import made_in
from inventory.holdings.rules.date_codes import NO_CODE, UNREAD, decades
from inventory.holdings.rules.part_kinds import KINDS, PART_KINDS, RATINGS, kind_by_value, kind_choices
from inventory.house.filters import ListFilter, TextFilter, WordsFilter
from tubes.queries import holding, types_named
from tubes.rules.units import parse_quantity


def _type_bears(word: str) -> Q:
    fields = ("kind", "words", "construction", "mounting", "marking")
    return reduce(or_, [Q(**{f"{field}__icontains": word}) for field in fields])


def _want_bears(word: str) -> Q:
    return Q(thing__icontains=word) | Q(purpose__icontains=word) | Q(note__icontains=word)


def _move_bears(word: str) -> Q:
    return Q(item__tag__iexact=word) | Q(from_path__icontains=word) | Q(to_path__icontains=word)


class TubeFilter(ThingFilter):
    SELDOM = ("made", *ThingFilter.SELDOM)

    type = TextFilter(method="by_type", label="Type or any number")
    state = filters.ChoiceFilter(choices=Tube.STATES, label="State")
    maker = TextFilter(method="by_maker", label="Maker")
    settled = filters.ChoiceFilter(
        choices=[("yes", "settled"), ("no", "not settled")], method="by_settled", label="Type settled"
    )
    made = filters.ChoiceFilter(
        choices=[(NO_CODE, "no date code"), (UNREAD, "a date code that tells no year"), *((d, d) for d in decades())],
        method="by_decade", label="Made, by the date code",
    )  # fmt: skip
    text = ThingWords(
        ("mark", "type", "maker", "date code", "condition", "note", "source"),
        "marked", "type__name", "maker", "date_code", "condition", "note", "acquired_how", "acquired_from",
    )  # fmt: skip

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

    def by_decade(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        return rows.filter(made_in(value))

    def by_settled(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        return rows.filter(type__isnull=value == "no")


class QuantityFilter(TextFilter):
    """Rows whose figure is at least, or at most, what is asked: a figure with its unit.

    ``read`` gives the figure in the unit of the column, and a condition that goes with it; it raises ValueError.
    """

    def __init__(self, read: Callable[[str], tuple[float, Q]], **kwargs: Any) -> None:
        def check(text: str) -> None:
            try:
                read(text)
            except ValueError as fault:
                raise ValidationError(str(fault)) from fault

        super().__init__(validators=[check], **kwargs)
        self.read = read

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        if not value:
            return qs
        figure, also = self.read(value)
        slip = 1e-9 if self.lookup_expr == "lte" else -1e-9
        return qs.filter(also, **{f"{self.field_name}__{self.lookup_expr}": figure * (1 + slip)})


def _value_in(prefix: str) -> Callable[[str], tuple[float, Q]]:
    """Reads a value with its unit, which says the kind of part as well."""

    def read(text: str) -> tuple[float, Q]:
        kind, value = kind_by_value(text)
        alike = [one.key for one in PART_KINDS if one.unit == KINDS[kind].unit]
        return value, Q(**{f"{prefix}kind__in": alike})

    return read


def _in_unit(unit: str) -> Callable[[str], tuple[float, Q]]:
    def read(text: str) -> tuple[float, Q]:
        return parse_quantity(text if text.strip()[-1:].isalpha() else f"{text} {unit}", unit), Q()

    return read


def _of_class(prefix: str) -> Callable[[QuerySet[Any], str, str], QuerySet[Any]]:
    def narrow(rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(**{f"{prefix}safety_class__contains": value})

    return narrow


def part_figures(prefix: str = "") -> dict[str, filters.Filter]:
    """The filters by the figures of a kind of part, of a list whose rows reach it by ``prefix``."""
    value, classes = _value_in(prefix), [("X", "class X"), ("Y", "class Y")]
    return {
        **{
            name: QuantityFilter(value, field_name=f"{prefix}value", lookup_expr=how, label=label)
            for name, how, label in (("value_from", "gte", "Value from, with unit"), ("value_to", "lte", "Value to"))
        },
        **{
            name: QuantityFilter(
                _in_unit(unit), field_name=f"{prefix}{name}", lookup_expr="gte", label=f"Rated at least, {unit}"
            )
            for name, unit in RATINGS.items()
        },
        "construction": TextFilter(field_name=f"{prefix}construction", lookup_expr="icontains", label="Construction"),
        "safety": filters.ChoiceFilter(method=_of_class(prefix), choices=classes, label="Class, IEC 60384-14"),
    }


class FiguresFilter(filters.FilterSet):
    """Beside its own filters those by the figures of a kind of part, to which ``PREFIX`` leads."""

    PREFIX = ""

    @classmethod
    def get_filters(cls) -> Any:
        return super().get_filters() | part_figures(cls.PREFIX)


class PartTypeFilter(FiguresFilter):
    kind = filters.ChoiceFilter(choices=kind_choices, label="Kind")
    text = WordsFilter(_type_bears, label="Words in what it is, construction, mounting, marking")

    class Meta:
        model = PartType
        fields: list[str] = []


class PartFilter(FiguresFilter, ThingFilter):
    LIST = "parts"
    PREFIX = "type__"
    SELDOM = (*part_figures(), *ThingFilter.SELDOM)

    text = ThingWords(
        ("name", "value or type", "kind of part", "serial", "maker", "condition", "note"),
        "name", "value", "type__kind", "type__words", "serial", "maker", "condition", "note",
    )  # fmt: skip
    kind = filters.ChoiceFilter(
        choices=lambda: [("none", "no kind given"), *kind_choices()], method="by_kind", label="Sort of part"
    )
    maker = TextFilter(lookup_expr="icontains", label="Maker")
    to_count = filters.ChoiceFilter(choices=[("yes", "wants counting")], method="by_to_count", label="Quantity")

    class Meta:
        model = PartLot
        fields: list[str] = []

    def by_kind(self, rows: QuerySet[PartLot], name: str, value: str) -> QuerySet[PartLot]:
        """Lots of a kind of part, or those that nothing was read from."""
        return rows.filter(type__isnull=True) if value == "none" else rows.filter(type__kind=value)

    def by_to_count(self, rows: QuerySet[PartLot], name: str, value: Any) -> QuerySet[PartLot]:
        """Guessed quantities, and those that are not known."""
        return rows.filter(Q(to_count=True) | Q(least__isnull=True, most__isnull=True))


class WantFilter(ListFilter):
    LIST = "wants"

    type = TextFilter(method="by_type", label="Type or any number")
    text = WordsFilter(_want_bears, label="Words in what, for what, note")

    class Meta:
        model = Want
        fields: list[str] = []

    def by_type(self, rows: QuerySet[Want], name: str, value: Any) -> QuerySet[Want]:
        """Wants of what the text names, under any number."""
        return rows.filter(Q(type__name__in=types_named(value)) | Q(type__isnull=True, thing__icontains=value.strip()))


class MovementFilter(ListFilter):
    LIST = "movements"

    text = WordsFilter(_move_bears, label="Tag or words of a place")
    since = filters.DateFilter(field_name="on", lookup_expr="gte", label="From")
    until = filters.DateFilter(field_name="on", lookup_expr="lte", label="To")

    class Meta:
        model = Movement
        fields: list[str] = []
