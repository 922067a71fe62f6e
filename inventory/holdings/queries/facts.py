"""Questions about what is said of things beside their own columns."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from inventory.holdings.models import Fact, Item
from inventory.holdings.queries.coming import never_there
from inventory.holdings.queries.paid import each
from inventory.holdings.rules import facts as rule
from inventory.holdings.rules.dates import DAY
from inventory.holdings.rules.fact_words import reading_on_label
from inventory.holdings.rules.prices import ROW
from inventory.house.order import Order, texts

#: Headings of the lists that go out, and what the facts below them are about. A list taken in again is read by them.
FACT_COLUMNS = (
    ("Price paid", rule.PAID), ("Price asked", rule.ASKED), ("Insured value", rule.INSURED),
    ("Reading", rule.READING), ("Reject minimum", rule.MINIMUM), ("Instrument", ""), ("Tested on", rule.TESTED),
    ("Acquired (as found)", rule.ACQUIRED), ("Made (as found)", rule.MADE), ("Other date", rule.DATED),
    ("Serial (as found)", rule.SERIAL), ("Own number", rule.OWN_NUMBER), ("Acquired how (as found)", rule.GOT_HOW),
    ("Acquired from (as found)", rule.GOT_FROM), ("Evidence of title", rule.TITLE), ("Why it left", rule.LEFT_WHY),
    ("Authorised by", rule.LEFT_BY), ("Went to", rule.LEFT_TO), ("Proceeds", rule.PROCEEDS),
)  # fmt: skip


def _facts_of(items: Iterable[int], *about: str) -> dict[int, list[Fact]]:
    """The facts of things by key, in the order of their entry, without those struck out (one query)."""
    found: dict[int, list[Fact]] = defaultdict(list)
    rows = Fact._base_manager.filter(item__in=list(items), struck="").order_by("id")
    for fact in rows.filter(about__in=about) if about else rows:
        found[fact.item_id].append(fact)
    return found


OF_LEAVING = (rule.LEFT_WHY, rule.LEFT_BY, rule.LEFT_TO, rule.PROCEEDS)


def said_of_leaving(items: Iterable[int]) -> dict[int, list[str]]:
    """Why things left, on whose word, to whom, for how much, by key (one query); the last word of each sort."""
    found = _facts_of(items, *OF_LEAVING)
    return {
        key: [_cell(last[about], named=False) if about in last else "" for about in OF_LEAVING]
        for key, last in ((key, {fact.about: fact for fact in facts}) for key, facts in found.items())
    }


def fact_cells(items: Iterable[int]) -> dict[int, list[str]]:
    """A text for each of FACT_COLUMNS, by the key of the thing (one query); several facts in one cell, in order.

    Things without facts are left out.
    """
    return {key: _cells(facts) for key, facts in _facts_of(items).items()}


def _cells(facts: Sequence[Fact]) -> list[str]:
    testers = list(dict.fromkeys(fact.instrument for fact in facts if fact.instrument))
    alone = testers[0] if len(testers) == 1 else ""
    cells = []
    for _, about in FACT_COLUMNS:
        words = [_cell(fact, named=not alone) for fact in facts if fact.about == about] if about else [alone]
        cells.append("; ".join(filter(None, words)))
    return cells


def _cell(fact: Fact, *, named: bool) -> str:
    """A fact as a cell: a price with its currency, a figure with its unit, a day as ISO 8601, all else as found.

    ``named``: the instrument stands behind it, since there are several.
    """
    if fact.about in rule.MONEY:
        return fact.words
    words = f"{fact.figure} {fact.unit}".strip() if fact.figure else fact.text
    if fact.precision == DAY and fact.first and not fact.estimated:
        words = fact.first.isoformat()
    return f"{words}, {fact.instrument}" if named and fact.instrument else words if words != fact.instrument else ""


def readings_told(items: Iterable[int]) -> dict[int, str]:
    """The last reading of things as their labels say it, by key (one query); things without one are left out."""
    found = _facts_of(items, rule.READING, rule.MINIMUM)
    words = {key: reading_on_label(facts) for key, facts in found.items()}
    return {key: text for key, text in words.items() if text}


def numbered(text: str) -> QuerySet[Fact]:
    """Serials and keepers' own numbers that are this text, in any case."""
    return Fact.objects.filter(about__in=(rule.SERIAL, rule.OWN_NUMBER), struck="", text__iexact=text.strip())


def bearer_of(number: str, but: Item | None = None) -> Item | None:
    """The thing that bears a number as the keeper's own of it, also one that has left; ``but``: another than that.

    What was said of a whole row of a list is nobody's alone. A number that was struck out is free again, and so is that
    of a thing whose entry was.
    """
    rows = Fact._base_manager.filter(about=rule.OWN_NUMBER, struck="", text__iexact=number.strip()).exclude(per=ROW)
    rows = rows.exclude(never_there("item__"))
    found = rows.exclude(item=but).select_related("item").order_by("pk").first()
    return found.item if found else None


def bears_number(text: str) -> Q:
    """A condition on things: a serial that was found on it, or the keeper's own number of it, is this text."""
    return Q(item__in=numbered(text).values("item"))


def with_own_number(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Rows that hang on things, each told the keeper's own number (``own_number``; None without one)."""
    own = Fact.objects.filter(item=OuterRef("item"), about=rule.OWN_NUMBER, struck="").order_by("id")
    return rows.annotate(own_number=Subquery(own.values("text")[:1]))


def fact_orders() -> list[tuple[str, Order]]:
    """How things stand in order by each of FACT_COLUMNS, by their first fact of that sort.

    Prices and figures go by currency or unit first: they do not compare over it; prices are those of one piece
    (``queries.paid``). Days go by the first that it can be.
    """
    return [(heading, _fact_order(about)) for heading, about in FACT_COLUMNS]


def _fact_order(about: str) -> Order:
    if not about:
        return texts(_first_fact("instrument", ~Q(instrument="")))
    if about in rule.MONEY:
        return Order((*texts(_first_fact("currency", about=about)).by, _first_fact(each(), about=about)), "most first")
    if about in rule.FIGURES:
        return Order((*texts(_first_fact("unit", about=about)).by, _first_fact("value", about=about)), "most first")
    if about in rule.DAYS:
        return Order((_first_fact("first", about=about),), "latest first")
    return texts(_first_fact("text", about=about), numbered=True)


def _first_fact(column: Any, *condition: Q, **about: str) -> Subquery:
    """``column``: a name, or an expression of it."""
    found = Fact._base_manager.filter(*condition, item=OuterRef("item_id"), struck="", **about).order_by("id")
    return Subquery(found.annotate(told=F(column) if isinstance(column, str) else column).values("told")[:1])
