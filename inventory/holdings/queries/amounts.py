"""Which prices and insured values of things count in sums, and why others do not."""

from django.db.models import Case, DecimalField, Exists, F, OuterRef, Q, QuerySet, When

from inventory.holdings.models import Fact
from inventory.holdings.rules.prices import LOT, ROW

NO_CURRENCY = "no-currency"
UNWRITTEN, UNREAD, SHARED = "unwritten", "unread", "shared"
WHY_NOT = {
    UNWRITTEN: "none is written",
    UNREAD: "it is written and was not read as a figure",
    SHARED: "it is for a lot or a whole row, and for how many things is not known",
}
_OF_MANY = Q(per__in=(LOT, ROW))
_FOR_ONE = Q(value__isnull=False) & (~_OF_MANY | Q(of_count__gt=0))


def told_of(about: str) -> QuerySet[Fact]:
    """The facts about that money that stand."""
    return Fact._base_manager.filter(about=about, struck="").order_by()


def counted(about: str) -> QuerySet[Fact]:
    """Of each thing the last amount that is known for it alone, with its share (``each``): of a lot of so many like
    things one part of them. Nothing is converted.
    """
    later = told_of(about).filter(_FOR_ONE, item=OuterRef("item"), pk__gt=OuterRef("pk"))
    share = F("value") * 1.0 / F("of_count")  # SQLite divides whole ones as integers
    each = Case(When(_OF_MANY, then=share), default=F("value"), output_field=DecimalField())
    return told_of(about).filter(_FOR_ONE, ~Exists(later)).annotate(each=each)


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
    """A condition on rows that hang on things: what is said of their money counts in that currency, or why it does
    not. Raises ValueError.
    """
    amount_words(value)
    if value not in WHY_NOT:
        found = counted(about).filter(currency="" if value == NO_CURRENCY else value)
        return Q(item__in=found.values("item"))
    return why_not(about, value, "item")


def why_not(about: str, reason: str, way: str = "pk") -> Q:
    """A condition on things, or on rows that lead to them by ``way``: nothing said of that money counts, for this
    reason.
    """
    told = told_of(about).filter(item=OuterRef(way))
    some, figure = Q(Exists(told)), Q(Exists(told.filter(value__isnull=False)))
    because = {UNWRITTEN: ~some, UNREAD: some & ~figure, SHARED: figure}[reason]
    return ~Q(Exists(told.filter(_FOR_ONE))) & because
