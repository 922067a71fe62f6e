"""How the collection grew, and the tests year by year."""

from dataclasses import dataclass

from django.db.models import Count, Q
from django.db.models.functions import ExtractYear

from inventory.figures.rules.years import ACQUIRED, ENTERED, UNKNOWN, Came, Growth, growth
from inventory.holdings.models import Item
from inventory.holdings.queries.coming import were_here, with_coming
from inventory.running.queries.verdicts import test_list


def growth_of_all() -> Growth:
    """Things of every kind, those that left among them (one query); what was entered by mistake never came."""
    things = with_coming(were_here(Item.objects.order_by())).annotate(year_left=ExtractYear("gone_on"))
    groups = things.values_list("kind", "year_acquired", "year_entered", "year_left").annotate(count=Count("pk"))
    return growth(
        Came(
            kind, ACQUIRED if acquired else ENTERED if entered else UNKNOWN,
            acquired or entered or None, left, count,
        )
        for kind, acquired, entered, left, count in groups
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class TestsOf:
    """The tests of a year, those struck out among them, and of how many tubes."""

    year: int
    tests: int
    struck: int
    tubes: int


def tests_by_year() -> tuple[TestsOf, ...]:
    """Tests by the year of their day, the earliest first (one query)."""
    rows = test_list().select_related(None).order_by().values(year=ExtractYear("on"))
    told = rows.annotate(tests=Count("pk"), dropped=Count("pk", filter=~Q(struck="")), of=Count("tube", distinct=True))
    return tuple(TestsOf(row["year"], row["tests"], row["dropped"], row["of"]) for row in told.order_by("year"))
