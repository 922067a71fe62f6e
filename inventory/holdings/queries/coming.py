"""In which year things came: by the day of acquisition, or by that of entry where no such day is known."""

from typing import Any

from django.db.models import Case, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce, ExtractYear
from django.db.models.lookups import LessThan

from inventory.holdings.models import Fact, Item
from inventory.holdings.rules.facts import ACQUIRED as ACQUIRED_ON
from inventory.holdings.rules.mistakes import MISTAKE

ACQUIRED, ENTERED, UNKNOWN = "acquired", "entered", "unknown"


def never_there(way: str = "") -> Q:
    """A condition on rows that ``way`` leads from to things: the entry of the thing was struck out as a mistake."""
    return Q(**{f"{way}gone_how__startswith": MISTAKE})


def were_here(things: QuerySet[Item]) -> QuerySet[Item]:
    """Things without those that were entered by mistake and struck out since: they never came and never left."""
    return things.exclude(never_there())


def with_coming(things: QuerySet[Item]) -> QuerySet[Any]:
    """Things, each told the year in which it came, two ways.

    ``year_acquired``: of the tube's own column, else of the first fact that says it to the year; None where nothing
    does. ``year_entered``: of the first row of its history; None for a thing without one. A thing came no later than
    it left.
    """
    said = Fact._base_manager.filter(
        item=OuterRef("pk"), about=ACQUIRED_ON, struck="", first__isnull=False, first__year=F("last__year")
    )
    written = Item.history.model.objects.filter(id=OuterRef("pk"))  # type: ignore[attr-defined]
    first = Subquery(said.order_by("id").values("first__year")[:1], output_field=IntegerField())
    entry = Subquery(written.order_by("history_date", "history_id").values("history_date")[:1])
    return things.annotate(
        year_acquired=_not_after_it_left(Coalesce(ExtractYear("tube__acquired_on"), first)),
        year_entered=_not_after_it_left(ExtractYear(entry)),
    )


def _not_after_it_left(year: Any) -> Case:
    left = ExtractYear("gone_on")  # compared, since databases differ in what the least of nothing and a year is
    return Case(When(LessThan(left, year), then=left), default=year, output_field=IntegerField())


def came_words(value: str) -> str:
    """What ``acquired-2019`` asks for, in words. Raises ValueError for what asks for nothing."""
    by, _, year = value.partition("-")
    known = year == UNKNOWN or (len(year) == 4 and year.isascii() and year.isdecimal())
    if by not in (ACQUIRED, ENTERED) or not known:
        raise ValueError(f"{value[:40]!r}: expected acquired or entered with a year, such as acquired-2019.")
    if by == ACQUIRED:
        return "no year of acquisition known" if year == UNKNOWN else f"acquired in {year}"
    return "no day of entry known" if year == UNKNOWN else f"entered in {year}, no year of acquisition known"


def came(value: str) -> Q:
    """A condition on rows that hang on things: they came as ``acquired-2019``, ``entered-2019``, ``acquired-unknown``
    say; those that were entered in a year have no known year of acquisition. Raises ValueError.
    """
    came_words(value)
    by, _, year = value.partition("-")
    wanted = None if year == UNKNOWN else int(year)
    things = with_coming(Item.objects.order_by())
    if by == ACQUIRED:
        return Q(item__in=_in_year(things, "year_acquired", wanted).values("pk"))
    return Q(item__in=_in_year(things.filter(year_acquired__isnull=True), "year_entered", wanted).values("pk"))


def _in_year(things: QuerySet[Any], column: str, year: int | None) -> QuerySet[Any]:
    return things.filter(**({f"{column}__isnull": True} if year is None else {column: Value(year)}))
