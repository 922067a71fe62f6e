"""An order that is the same on every database: by code points, not by the alphabet that a database was set up with."""

from typing import Any

from django.db import connection
from django.db.models import F
from django.db.models.functions import Collate, Length


def by_code_points(*paths: str) -> list[Any]:
    """What to order a queryset by. Tags go by length first, so that T-10000 comes after T-9999."""
    collation = "C" if connection.vendor == "postgresql" else "BINARY"
    order: list[Any] = []
    for path in paths:
        if path.split("__")[-1] == "tag":
            order.append(Length(path))
        order.append(Collate(F(path), collation))
    return order
