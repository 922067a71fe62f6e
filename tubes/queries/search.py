"""Types that a text finds, and the list of them."""

import re
from collections.abc import Iterable
from typing import Any

from django.db.models import Q

from inventory.house.search import LONGEST
from tubes.models import Designation, Rating, TubeType
from tubes.queries.marks import Knowledge, knowledge
from tubes.queries.named import tube_for_stamp
from tubes.rules.relations import is_unchecked
from tubes.rules.stamp import fold_key
from tubes.rules.this_tube import parts_read


def types_named(text: str) -> frozenset[str]:
    """Names of types that ``text`` finds: by any mark (with all that are the same tube), else by a family number
    (6SN7: all its forms), else by part of a name.
    """
    known = knowledge()
    answer = known.read(text)
    found: set[str] = set()
    apart = parts_read(answer, tube_for_stamp(answer, known))
    for reading in () if apart else answer.readings:
        if reading.relation == "same" and reading.type and not is_unchecked(reading.note):
            found |= known.kin.same_as(reading.type)
        elif reading.designation in known.types:
            found.add(reading.designation)
    if found or not text.strip():
        return frozenset(found)
    key = fold_key(text)
    forms = known.forms_of([key])
    return frozenset(forms or (name for name in known.types if key and key in fold_key(name)))


def holding(field: str, text: str) -> Q:
    """A condition: a field of text holds this one, in any case; a figure more makes another number (6SN7, 6SN70)."""
    words = text.replace("\0", "").strip()
    if len(words) > LONGEST:
        return Q(pk__in=())
    if not (words[:1].isdigit() or words[-1:].isdigit()):
        return Q(**{f"{field}__icontains": words})
    before, behind = "(^|[^0-9])" * words[:1].isdigit(), "([^0-9]|$)" * words[-1:].isdigit()
    return Q(**{f"{field}__iregex": f"{before}{re.escape(words)}{behind}"})


def types_like(text: str, known: Knowledge, limit: int | None = 12) -> list[str]:
    """Names and marks that begin like ``text``, for somebody whose text means nothing as it stands."""
    key = fold_key(text)[:4]
    if len(key) < 2:
        return []
    names = {mark.designation for mark in known.marks if fold_key(mark.designation).startswith(key)}
    names |= {name for name in known.types if fold_key(name).startswith(key)}
    return sorted(names)[:limit]


def type_list(text: str = "") -> Any:
    """Types whose name or any mark contains ``text``, as a queryset ordered by name."""
    rows = TubeType.objects.all()
    if text.strip():
        names = types_named(text)
        rows = rows.filter(Q(name__in=names) | Q(name__icontains=text.strip()))
    return rows


def mark_lists(rows: Iterable[TubeType]) -> list[tuple[TubeType, str, str]]:
    """Types with their kind and their marks in one line each, for a sheet of the list (two queries)."""
    rows = list(rows)
    marks: dict[int, list[str]] = {}
    found = Designation.objects.filter(type__in=rows, relation="same").exclude(note__contains="unchecked:")
    for type_id, designation in found.values_list("type_id", "designation"):
        marks.setdefault(type_id, []).append(designation)
    kinds = dict(Rating.objects.filter(type__in=rows).exclude(kind="").values_list("type_id", "kind"))
    return [
        (row, kinds.get(row.pk, "").replace("-", " "), ", ".join(dict.fromkeys(marks.get(row.pk, [])))) for row in rows
    ]
