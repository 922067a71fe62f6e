"""What lists of things say beside facts: whose each is, and how it was found last."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery, Window
from django.db.models.functions import RowNumber

from inventory.holdings.models import ConditionCheck, Loan
from inventory.holdings.queries.conditions import LATEST_FIRST, latest_of
from inventory.holdings.queries.record import OWED, not_ours
from inventory.house.order import Order, texts

#: Headings of lists that go out, behind the facts. They are written on pages of their own, so a list brings none in.
STANDING_COLUMNS = (
    "Owner", "To be given back", "Looked at on", "State then", "Complete", "Looked at by", "Look again on",
)  # fmt: skip
OURS = "ours"


def standing_cells(keys: Iterable[int]) -> dict[int, list[Any]]:
    """A value for each of ``STANDING_COLUMNS``, by the key of the thing (two queries)."""
    asked = list(keys)
    owed, seen = not_ours(asked), _last_conditions(asked)
    return {key: [*_owner(owed.get(key)), *_seen(seen.get(key))] for key in asked}


def _owner(loan: Loan | None) -> Sequence[Any]:
    return (loan.who, loan.due) if loan else (OURS, None)


def _seen(row: ConditionCheck | None) -> Sequence[Any]:
    if row is None:
        return (None, "", "", "", None)
    return row.on, row.state, row.complete_text, row.by_whom, row.look_again


def _last_conditions(keys: Sequence[int]) -> dict[int, ConditionCheck]:
    rows = ConditionCheck.objects.filter(item__in=keys, struck="").annotate(
        place=Window(RowNumber(), partition_by="item", order_by=[*LATEST_FIRST])
    )
    return {row.item_id: row for row in rows.filter(place=1)}


def _owed() -> QuerySet[Loan]:
    return Loan.objects.filter(OWED, item=OuterRef("item_id")).order_by("-since", "-pk")


def standing_orders() -> list[tuple[str, Order]]:
    """How things stand in order by each of ``STANDING_COLUMNS``."""
    last = latest_of(OuterRef("item_id"))
    owner, due, on, state, complete, who, again = STANDING_COLUMNS
    by_day = lambda rows, column: Order((Subquery(rows.values(column)[:1]),), "latest first")  # noqa: E731
    by_text = lambda rows, column: texts(Subquery(rows.values(column)[:1]))  # noqa: E731
    return [
        (owner, by_text(_owed(), "who")), (due, by_day(_owed(), "due")), (on, by_day(last, "on")),
        (state, by_text(last, "state")), (complete, by_text(last, "complete")), (who, by_text(last, "by_whom")),
        (again, by_day(last, "look_again")),
    ]  # fmt: skip


def is_ours(yes: bool = True) -> Q:
    """A condition on things: they are ours, or they belong to somebody else."""
    owed = Q(item__in=Loan.objects.filter(OWED).order_by().values("item"))
    return ~owed if yes else owed


def belongs_to(name: str) -> Q:
    """A condition on things: they belong to somebody else whose name has a text in it."""
    rows = Loan.objects.filter(OWED, who__icontains=name)
    return Q(item__in=rows.order_by().values("item"))


def looked_at(rows: QuerySet[Any], asked: str, on: Any) -> QuerySet[Any]:
    """Things that nobody looked at (``never``), whose day to look again has come (``due``), or that were not complete
    when somebody looked last (``incomplete``).
    """
    if asked == "never":
        return rows.exclude(item__in=ConditionCheck.objects.filter(struck="").order_by().values("item"))
    last = ConditionCheck.objects.filter(pk=Subquery(latest_of(OuterRef("item")).values("pk")[:1]))
    last = last.filter(look_again__lte=on) if asked == "due" else last.filter(complete=ConditionCheck.INCOMPLETE)
    return rows.filter(item__in=last.order_by().values("item"))
