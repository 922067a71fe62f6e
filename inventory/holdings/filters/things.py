"""What every list of things of the register can be narrowed by: place, numbers, where they came from, what was paid."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import django_filters as filters
from django import forms
from django.db.models import Model, Q, QuerySet
from django.utils import timezone

from inventory.holdings.models import Fact, Paper, Place
from inventory.holdings.queries import bears_number, places_within
from inventory.holdings.queries.amounts import amount, amount_words
from inventory.holdings.queries.coming import came, came_words
from inventory.holdings.queries.paid import NO_CURRENCY, each, moneys_paid
from inventory.holdings.queries.standing import belongs_to, is_ours, looked_at
from inventory.holdings.rules import facts as rule
from inventory.house.filters import DayFilter, ListFilter, OpenedFilter, TextFilter, WordsFilter


def facts_with(condition: Q) -> Q:
    """A condition on things: one of their facts that stand meets another."""
    return Q(item__in=Fact.objects.filter(condition, struck="").order_by().values("item"))


def thing_bears(word: str, *columns: str, money: bool = True) -> Q:
    """A condition on things: a word stands in one of these columns, or in anything that is said of them beside.

    A number that somebody gave it is meant as a whole: 71 is not in 0071. ``money``: also in prices.
    """
    unsaid = (rule.SERIAL, rule.OWN_NUMBER, *(() if money else rule.MONEY))
    said = Q(text__icontains=word) & ~Q(about__in=unsaid) | Q(instrument__icontains=word)
    shown = Paper.objects.filter(caption__icontains=word).order_by().values("item")
    condition = Q(item__tag__iexact=word) | bears_number(word) | facts_with(said) | Q(item__in=shown)
    for column in columns:
        condition |= Q(**{f"{column}__icontains": word})
    return condition


def _has(model: type[Model], column: str) -> bool:
    return column in {field.name for field in model._meta.get_fields()}


class ThingWords(WordsFilter):
    """Things that bear every word of a text in one of these columns, or in anything that is said of them.

    ``words``: what the columns are called.
    """

    def __init__(self, words: Sequence[str], *columns: str, **kwargs: Any) -> None:
        told = f"In {', '.join(words)}, place, loan, facts, captions."
        super().__init__(thing_bears, label="Words", help_text=told, **kwargs)
        self.columns = (*columns, "item__place__path", "item__lent_to")

    def condition(self, word: str) -> Q:
        return thing_bears(word, *self.columns, money=self.parent.money)


class ThingFilter(ListFilter):
    """Filters that look into the columns of a thing and into the facts beside it, since lists bring either."""

    SELDOM: tuple[str, ...] = (
        "number", "acquired_how", "acquired_from", "acquired_since", "acquired_until", "title", "owner", "owner_name",
        "looked", "paid_least", "paid_most", "currency",
    )  # fmt: skip
    OF_MONEY = ("paid_least", "paid_most", "currency", "price", "insured")

    place = filters.ModelChoiceFilter(queryset=Place.objects.all(), method="by_place", label="Place")
    number = TextFilter(method="by_number", label="Own number or serial")
    acquired_how = TextFilter(method="by_how", label="How acquired")
    acquired_from = TextFilter(method="by_source", label="Acquired from")
    acquired_since = DayFilter(method="by_first_day", label="Acquired since")
    acquired_until = DayFilter(method="by_last_day", label="Acquired until")
    title = filters.ChoiceFilter(
        choices=[("yes", "told"), ("no", "not told")], method="by_title", label="Evidence of title"
    )
    owner = filters.ChoiceFilter(
        choices=[("ours", "ours"), ("others", "here on loan")], method="by_owner", label="Owner"
    )
    owner_name = TextFilter(method="by_owner_name", label="Here on loan from")
    looked = filters.ChoiceFilter(
        choices=[("never", "nobody looked"), ("due", "to be looked at again"), ("incomplete", "not complete")],
        method="by_look", label="Condition",
    )  # fmt: skip
    paid_least = filters.NumberFilter(
        method="by_price", label="Paid at least", help_text="For one: of the price of a lot its share."
    )
    paid_most = filters.NumberFilter(method="by_price", label="Paid at most")
    currency = TextFilter(method="by_price", label="Paid in (USD, EUR)")
    came = OpenedFilter(came, came_words, label="Came")
    price = OpenedFilter(partial(amount, rule.PAID), amount_words, label="Price paid")
    insured = OpenedFilter(partial(amount, rule.INSURED), amount_words, label="Insured value")

    def by_place(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        return rows.filter(item__place__in=places_within(value))

    def by_number(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Things one of whose numbers has the text in it."""
        found = facts_with(Q(about__in=(rule.SERIAL, rule.OWN_NUMBER), text__icontains=value))
        return rows.filter(found | Q(serial__icontains=value) if _has(rows.model, "serial") else found)

    def by_how(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return self._in_column_or_fact(rows, "acquired_how", rule.GOT_HOW, value)

    def by_source(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return self._in_column_or_fact(rows, "acquired_from", rule.GOT_FROM, value)

    def _in_column_or_fact(self, rows: QuerySet[Any], column: str, about: str, value: str) -> QuerySet[Any]:
        found = facts_with(Q(about=about, text__icontains=value))
        return rows.filter(found | Q(**{f"{column}__icontains": value}) if _has(rows.model, column) else found)

    def by_first_day(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        """Things that cannot have come before a day."""
        found = facts_with(Q(about=rule.ACQUIRED, first__gte=value))
        return rows.filter(found | Q(acquired_on__gte=value) if _has(rows.model, "acquired_on") else found)

    def by_last_day(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        """Things that cannot have come after a day."""
        found = facts_with(Q(about=rule.ACQUIRED, last__lte=value))
        return rows.filter(found | Q(acquired_on__lte=value) if _has(rows.model, "acquired_on") else found)

    def by_title(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        told = facts_with(Q(about=rule.TITLE))
        return rows.filter(told if value == "yes" else ~told)

    def by_owner(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(is_ours(value == "ours"))

    def by_owner_name(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(belongs_to(value))

    def by_look(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return looked_at(rows, value, timezone.localdate())

    def by_price(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        """Nothing yet: one price must meet all that is asked of it, see ``filter_queryset``."""
        return rows

    def get_form_class(self) -> Any:
        """A price is asked for in one money: 50 of one is not 50 of another."""
        return type("PricesInOneMoney", (_InOneMoney, super().get_form_class()), {})

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        """A price is that of one piece, as sums and orders have it (``queries.paid``), never converted."""
        rows, asked = super().filter_queryset(queryset), self.form.cleaned_data
        price = Q(about=rule.PAID)
        if (least := asked.get("paid_least")) is not None:
            price &= Q(each__gte=least)
        if (most := asked.get("paid_most")) is not None:
            price &= Q(each__lte=most)
        if currency := asked.get("currency"):
            price &= Q(currency=currency.strip().upper())
        if len(price) == 1:
            return rows
        paid = Fact._base_manager.annotate(each=each()).filter(price, struck="")
        return rows.filter(item__in=paid.order_by().values("item"))


class _InOneMoney(forms.Form):
    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        asked = [name for name in ("paid_least", "paid_most") if cells.get(name) is not None]
        if asked and not cells.get("currency") and len(moneys := moneys_paid()) > 1:
            told = ", ".join(one or NO_CURRENCY for one in moneys)
            self.add_error("currency", f"Prices paid stand in {told}: say in which money.")
            for name in asked:
                del cells[name]
        return cells
