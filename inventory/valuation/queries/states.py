"""What tells one state of some tables from another, for whatever is kept until a row of them changes."""

from collections.abc import Sequence
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
    told: dict[str, Any] = {}
    for number, model in enumerate(models):
        history, rows = model.history.model.objects.order_by("-history_id"), model._base_manager.order_by("-pk")
        told[f"last_{number}"] = Subquery(history.values("history_id")[:1])
        told[f"at_{number}"] = Subquery(history.values("history_date")[:1])
        told[f"row_{number}"] = Subquery(rows.values("pk")[:1])
        if connection.vendor == "postgresql":
            count = Func(F("history_id"), function="COUNT", output_field=IntegerField())
            told[f"many_{number}"] = Subquery(history.order_by().annotate(many=count).values("many"))
    return State.objects.filter(pk=1).annotate(**told).values_list("token", *told).first()
