"""What tells one state of some tables from another, for whatever is kept until a row of them changes."""

from collections.abc import Sequence
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import F, Func, IntegerField, Subquery

from tubes.models import State


def state_of_rows(models: Sequence[Any]) -> tuple[Any, ...] | None:
    """What is another one as soon as a row of one of these models or of tube knowledge is (one query).

    Every change writes a row of its history (``house.writing``), whose number and moment are never those of another.
    Where several write side by side, rows come to be in another order than their numbers were given out: there they are
    counted too.
    """
    with connection.cursor() as cursor:
        cursor.execute(*_question(tuple(models), connection.vendor))
        found: tuple[Any, ...] | None = cursor.fetchone()
    return found


@cache
def _question(models: tuple[Any, ...], vendor: str) -> tuple[str, tuple[Any, ...]]:
    """Its SQL, put together once: that takes far longer than the question itself."""
    told: dict[str, Any] = {}
    for number, model in enumerate(models):
        history, rows = model.history.model.objects.order_by("-history_id"), model._base_manager.order_by("-pk")
        told[f"last_{number}"] = Subquery(history.values("history_id")[:1])
        told[f"at_{number}"] = Subquery(history.values("history_date")[:1])
        told[f"row_{number}"] = Subquery(rows.values("pk")[:1])
        if vendor == "postgresql":
            count = Func(F("history_id"), function="COUNT", output_field=IntegerField())
            told[f"many_{number}"] = Subquery(history.order_by().annotate(many=count).values("many"))
    rows = State.objects.filter(pk=1).annotate(**told).values_list("token", *told)
    sql, values = rows.query.sql_with_params()
    return sql, tuple(values)
