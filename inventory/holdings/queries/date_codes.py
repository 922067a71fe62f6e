"""Tubes by the decade that their date code tells."""

import json
from collections import Counter
from typing import Any

from django.db import connection
from django.db.models import Count, Q, QuerySet
from django.db.models.expressions import RawSQL

from inventory.holdings.models import Tube
from inventory.holdings.rules.date_codes import NO_CODE, decade_made


def decades_of(tubes: QuerySet[Tube]) -> Counter[str]:
    """How many of some tubes are of each decade (``decade_made``): every code is read once (one query)."""
    found: Counter[str] = Counter()
    for code, count in tubes.order_by().values_list("date_code").annotate(count=Count("pk")):
        found[decade_made(code)] += count
    return found


def made_in(decade: str) -> Q:
    """A condition on tubes: what ``decade_made`` says of their code is this (one query)."""
    codes = Tube.objects.order_by().values_list("date_code", flat=True).distinct()
    fitting = [code for code in codes if decade_made(code) == decade]
    if decade == NO_CODE:
        fitting.append("")
    return Q(date_code__in=among(fitting))


def among(texts: list[str]) -> Any:
    """Any number of texts as one value of a question: a database takes only so many values."""
    read = {"postgresql": "SELECT json_array_elements_text(%s::json)"}
    return RawSQL(read.get(connection.vendor, "SELECT value FROM json_each(%s)"), [json.dumps(texts)])
