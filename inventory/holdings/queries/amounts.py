"""Which prices and insured values of things count in sums, and why others do not (``queries.paid``)."""

from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Coalesce

from inventory.holdings.models import Fact
from inventory.holdings.queries.paid import for_one
from inventory.holdings.rules.facts import INSURED

NO_CURRENCY = "no-currency"
UNWRITTEN, UNREAD, UNSAID = "unwritten", "unread", "unsaid"
WHY_NOT = {
    UNWRITTEN: "none is written",
    UNREAD: "it was not read as a figure",
    UNSAID: "nobody said for how many things it is",
}
_READ = Q(value__isnull=False)


def told_of(about: str) -> QuerySet[Fact]:
    """The facts about that money that stand."""
    return Fact._base_manager.filter(about=about, struck="").order_by()


def standing(about: str) -> QuerySet[Fact]:
    """Those of which sums are made: prices add up; of insured values the latest of a thing alone, by the day of which
    it is (one without a day is older than all that have one), then by its entry. A later one takes the place of those
    before it also where it was not read.
    """
    told = told_of(about)
    if about != INSURED:
        return told
    day = Coalesce("first", Value(date.min))
    later = told.annotate(day=day).filter(item=OuterRef("item"))
    same = Q(day=OuterRef("day"), pk__gt=OuterRef("pk"))
    return told.annotate(day=day).filter(~Exists(later.filter(Q(day__gt=OuterRef("day")) | same)))


def counted(about: str) -> QuerySet[Fact]:
    """Those of which is known what they come to for one thing (``paid.each``)."""
    return standing(about).filter(_READ, for_one())


def not_counted(about: str, reason: str) -> QuerySet[Fact]:
    """Those that count in no sum, because they were not read or because nobody said of how many things they are."""
    return standing(about).filter(~_READ if reason == UNREAD else _READ & ~for_one())


def amount_words(value: str) -> str:
    """What ``USD``, ``no-currency`` or a reason of WHY_NOT asks for, in words. Raises ValueError."""
    if value in WHY_NOT:
        return WHY_NOT[value]
    if value == NO_CURRENCY:
        return "counted, with no currency"
    if len(value) == 3 and value.isascii() and value.isupper():
        return f"counted in {value}"
    expected = ", ".join((NO_CURRENCY, *WHY_NOT))
    raise ValueError(f"{value[:40]!r}: expected a currency such as USD, or {expected}.")


def amount(about: str, value: str) -> Q:
    """A condition on rows that hang on things: something that is said of that money counts in that currency, or counts
    not for that reason; or nothing is said. Raises ValueError.
    """
    amount_words(value)
    if value == UNWRITTEN:
        return ~Q(Exists(told_of(about).filter(item=OuterRef("item"))))
    if value in WHY_NOT:
        return Q(item__in=not_counted(about, value).values("item"))
    return Q(item__in=counted(about).filter(currency="" if value == NO_CURRENCY else value).values("item"))
