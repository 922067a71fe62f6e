"""Filters that lists of several areas share."""

from collections.abc import Callable
from functools import partial
from typing import Any

import django_filters as filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.http import QueryDict

from inventory.house.areas import list_named
from inventory.house.form_fields import DayField
from inventory.house.lists_out import NO_MONEY, ListOut, in_group
from inventory.house.search import MOST_WORDS, different_words, words_of

FIRST = ("text", "type", "kind", "model", "state", "maker", "place")  # as they stand above a list
#: Of the address of a list, beside what narrows it: how it is laid out, which sheet is shown.
LAID_OUT = ("columns", "group", "first", "show", "page", "ticked")
LONGEST = 200  # letters of a text that a list is narrowed by


def few_words(text: str) -> None:
    """Refuse more different words than are asked of the database at once."""
    count = len(different_words(text))
    if count > MOST_WORDS:
        raise ValidationError(f"{count} different words; name at most {MOST_WORDS}, the rarest first.", code="words")


class TextFilter(filters.CharFilter):
    """A text of bounded length."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=LONGEST, **kwargs)


class WordsFilter(TextFilter):
    """Rows that bear every word of a text; ``bearing`` gives the condition of one word."""

    def __init__(self, bearing: Callable[[str], Q], **kwargs: Any) -> None:
        super().__init__(validators=[few_words], **kwargs)
        self.bearing = bearing

    def condition(self, word: str) -> Q:
        return self.bearing(word)

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        for word in words_of(value or ""):
            qs = qs.filter(self.condition(word))
        return qs


class DayFilter(filters.Filter):
    """A day, with the browser's own picker."""

    field_class = DayField


def _order_choices(of: str) -> list[tuple[str, str]]:
    orders = list_named(of).orders()
    pairs = (((key, name), (f"-{key}", f"{name}, {how.back}")) for key, (name, how) in orders.items())
    return [choice for pair in pairs for choice in pair]


class OrderFilter(filters.OrderingFilter):
    """In what order a list stands: keys of its columns, with a hyphen before them backwards: ``maker,-acquired-on``.

    ``of``: the name of the list, whose declaration says what it can stand in order by (``ListOut.orders``).
    """

    def __init__(self, of: str) -> None:
        # no method of its own: fields are copied with what their choices hold, and this holds a whole request
        super().__init__(choices=partial(_order_choices, of), label="Order", empty_label="the usual one")
        self.of = of

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        asked = [key for key in value or () if key]
        if not asked:
            return qs
        orders = list_named(self.of).orders()
        terms = [term for key in asked for term in orders[key.lstrip("-")][1].terms(key.startswith("-"))]
        return qs.order_by(*terms, "pk")


class GroupsField(forms.Field):
    """Groups of a list, each as key and value: ``maker:RCA``; ``maker:`` are those without one."""

    widget = forms.MultipleHiddenInput

    def __init__(self, of: str = "", **kwargs: Any) -> None:
        kwargs.pop("null_label", None)
        super().__init__(**kwargs)
        self.of = of

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(data)

    def to_python(self, value: Any) -> list[tuple[str, str]]:
        pairs = [(str(one).partition(":")[0], str(one).partition(":")[2]) for one in value or ()]
        known = list_named(self.of)
        for key, text in pairs:
            if key not in known.group_keys:
                expected = ", ".join(known.group_keys)
                raise ValidationError(f"{key[:LONGEST]!r} is nothing that this list is counted by: {expected}.")
            if len(text) > LONGEST:
                raise ValidationError(f"No group of this list has a name of more than {LONGEST} letters.")
        return pairs


class GroupFilter(filters.Filter):
    """The rows of a group, just as it was counted: ``only=maker:RCA``; all others: ``but=maker:RCA``."""

    field_class = GroupsField

    def __init__(self, of: str, *, but: bool = False) -> None:
        super().__init__(of=of, label="All but" if but else "Only")
        self.of, self.but = of, but

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        paths = list_named(self.of).paths
        for key, text in value or ():
            qs = in_group(qs, paths[key], text, but=self.but)
        return qs


class OpenedFilter(filters.CharFilter):
    """What only an address says, as when a bar of a figure is opened; the list names it and can be closed again.

    ``condition`` gives that of a value, ``words`` the value in words; both raise ValueError for one that asks nothing.
    """

    def __init__(self, condition: Callable[[str], Q], words: Callable[[str], str], **kwargs: Any) -> None:
        def check(value: str) -> None:
            try:
                words(value)
            except ValueError as fault:
                raise ValidationError(str(fault)) from fault

        super().__init__(max_length=LONGEST, validators=[check], widget=forms.HiddenInput, **kwargs)
        self.condition, self.words = condition, words

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        return qs.filter(self.condition(value)) if value else qs


class _WithoutMoney(forms.Form):
    """What a list is narrowed by, for whoever sees no money."""

    filters: Any
    hidden_orders: set[str] = set()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.filters.OF_MONEY:
            if not self.data.get(name):
                del self.fields[name]
        if (order := self.fields.get("order")) and self.filters.LIST:
            self.hidden_orders = set(list_named(self.filters.LIST).of_money)
            kept = [one for one in order.choices if str(one[0]).lstrip("-") not in self.hidden_orders]  # type: ignore[attr-defined]
            order.widget.choices = kept  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        for name in self.filters.OF_MONEY:
            if name in self.fields:
                self.add_error(name, NO_MONEY.capitalize())
        if any(str(one).lstrip("-") in self.hidden_orders for one in cells.get("order") or ()):
            self.add_error("order", NO_MONEY.capitalize())
        return cells


class ListFilter(filters.FilterSet):
    """What a list is narrowed by, with the order that it stands in and the group that was opened.

    ``LIST``: its name. ``SELDOM``: filters that its page shows folded away. ``OF_MONEY``: those by prices.
    """

    LIST = ""
    SELDOM: tuple[str, ...] = ()
    OF_MONEY: tuple[str, ...] = ()

    def __init__(self, *args: Any, money: bool = True, **kwargs: Any) -> None:
        """``money``: whether whoever asks sees prices (``house.access.may_see_money``)."""
        super().__init__(*args, **kwargs)
        self.money = money

    def get_form_class(self) -> Any:
        """A form without what is of money, where that is not seen; to ask for it all the same is refused."""
        base = super().get_form_class()
        return base if self.money else type("WithoutMoney", (_WithoutMoney, base), {"filters": self})

    @property
    def narrows(self) -> bool:
        """Whether rows are left out: an order alone leaves out none."""
        return bool(set(self.form.changed_data) - {"order"})

    @property
    def seldom_in_force(self) -> bool:
        return any(name in self.form.changed_data for name in self.SELDOM)

    @classmethod
    def get_filters(cls) -> Any:
        found = super().get_filters()
        first = [name for name in FIRST if name in found]
        own = {name: found[name] for name in (*first, *found)}
        if not cls.LIST:
            return own
        groups = {"only": GroupFilter(cls.LIST), "but": GroupFilter(cls.LIST, but=True)}
        return own | {"order": OrderFilter(cls.LIST)} | groups


def filter_of(one: ListOut) -> type[filters.FilterSet]:
    """What a list is narrowed by; of a list without filters of its own its order alone."""
    return one.narrow or type("OrderAlone", (ListFilter,), {"LIST": one.name})


def narrowed(one: ListOut, query: QueryDict, *, money: bool = True) -> filters.FilterSet:
    """The rows of a list, narrowed as an address asks. ``money``: whether whoever asks sees prices."""
    found = filter_of(one)
    return found(query, queryset=one.here(), **({"money": money} if issubclass(found, ListFilter) else {}))
