"""Questions about conditions: what is to be looked at again."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, OuterRef, QuerySet, Subquery

from inventory.holdings.models import ConditionCheck
from inventory.holdings.queries.loans import SHOWN_DAYS
from inventory.house.areas import thing_columns


@dataclass(frozen=True)
class LookDue:
    """A thing to be looked at again: how many days over, or still to come where it is less than nothing."""

    row: ConditionCheck
    days: int

    @property
    def overdue(self) -> bool:
        return self.days > 0

    @property
    def words(self) -> str:
        """What was seen last, on one line."""
        seen = " ".join(self.row.state.split())
        return f"looked at on {self.row.on}: {seen[:80]}{'…' if len(seen) > 80 else ''}"

    @property
    def standing(self) -> str:
        if not self.days:
            return "due today"
        return (
            f"{abs(self.days)} day{'s' * (abs(self.days) != 1)} overdue"
            if self.days > 0
            else f"due in {-self.days} days"
        )


# Of one day, what has no hour counts as the earlier.
LATEST_FIRST = (F("on").desc(), F("at").desc(nulls_last=True), F("pk").desc())


def latest_of(item: OuterRef) -> QuerySet[ConditionCheck]:
    """The last condition of a thing that stands, for a subquery."""
    return ConditionCheck.objects.filter(item=item, struck="").order_by(*LATEST_FIRST)


def looks_due(on: date, days: int | None = SHOWN_DAYS) -> list[LookDue]:
    """Things here whose last condition says to look again by now or within some days (None: at any time), the longest
    overdue first (one query). What is lent out is not here to be looked at.
    """
    last = Subquery(latest_of(OuterRef("item")).values("pk")[:1])
    rows = ConditionCheck.objects.filter(struck="", look_again__isnull=False, pk=last, item__gone_on__isnull=True)
    rows = rows.filter(item__lent_to="").select_related("item", *thing_columns("item__"))
    if days is not None:
        rows = rows.filter(look_again__lte=on + timedelta(days=days))
    found = rows.order_by("look_again", "pk")
    return [LookDue(row, (on - row.look_again).days) for row in found if row.look_again]
