"""What was changed of a row, when, by whom and why, in words."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from django.db import models

MADE = "Created"  # as the history words it
AT_ONCE = timedelta(seconds=2)  # what one press of a button writes


@dataclass(frozen=True)
class Change:
    """One change of a row: when, by whom, why, and each field before and after, in words.

    ``of_money``: the fields that may name an amount (``MONEY_FIELDS`` of the model); those and the reason of their
    change are not for everybody (``house.access.may_see_money``).
    """

    at: datetime
    what: str
    by: str
    reason: str
    fields: tuple[tuple[str, str, str], ...]
    of_money: tuple[str, ...] = ()


def changes_of(*rows: models.Model, limit: int = 20) -> list[Change]:
    """The latest changes of some rows, newest first: two queries a row and one a kind of thing that a field names."""
    found = []
    for row in rows:
        records = list(row.history.select_related("history_user").order_by("-history_id")[: limit + 1])  # type: ignore[attr-defined]
        named = _names_behind(row, records)
        for record, before in pairwise([*records, None]):
            found.append(_change(row, record, before, named))
    return _entered_once(sorted(found, key=lambda change: change.at, reverse=True))[:limit]


def _entered_once(found: list[Change]) -> list[Change]:
    """Without the second line where a thing and its entry in the register were made in one go."""
    kept: list[Change] = []
    for change in found:
        last = kept[-1] if kept else None
        if (
            last
            and last.what == change.what == MADE
            and last.by == change.by
            and last.at - change.at < AT_ONCE
            and _one_reason(last, change)
        ):
            kept[-1] = replace(last, reason=last.reason or change.reason)
        else:
            kept.append(change)
    return kept


def _one_reason(one: Change, other: Change) -> bool:
    return one.reason == other.reason or not one.reason or not other.reason


def _change(row: models.Model, record: Any, before: Any, named: dict[tuple[str, Any], str]) -> Change:
    fields, of_money = [], []
    for field in row._meta.concrete_fields:
        if before is None or field.primary_key or not hasattr(record, field.attname):
            continue
        old, new = getattr(before, field.attname), getattr(record, field.attname)
        if old != new:
            shown = [_words(value, named, field.name) for value in (old, new)]
            fields.append((str(field.verbose_name), shown[0], shown[1]))
            if field.name in getattr(row, "MONEY_FIELDS", ()):
                of_money.append(str(field.verbose_name))
    by = record.history_user.get_username() if record.history_user else "a command"
    return Change(
        record.history_date, record.get_history_type_display(), by, record.history_change_reason or "", tuple(fields),
        tuple(of_money),
    )  # fmt: skip


def _words(value: Any, named: dict[tuple[str, Any], str], field: str) -> str:
    """A value as a person reads it; of rows of figures how many there are."""
    if value in (None, "", [], {}):
        return "empty"
    if isinstance(value, list):
        return f"{len(value)} {'row' if len(value) == 1 else 'rows'}"
    if isinstance(value, dict):
        return ", ".join(f"{key} {figure}" for key, figure in value.items())
    if isinstance(value, float):
        return f"{value:.12g}"  # 1400, not 1400.0
    return str(named.get((field, value), value))


def _names_behind(row: models.Model, records: list[Any]) -> dict[tuple[str, Any], str]:
    """Names of the rows that foreign keys in the records point to, one query a field."""
    named = {}
    for field in row._meta.concrete_fields:
        if not field.is_relation or field.primary_key or field.related_model is None:
            continue
        keys = {getattr(record, field.attname, None) for record in records} - {None}
        if len(keys) > 0:
            model: Any = field.related_model
            named.update({(field.name, thing.pk): str(thing) for thing in model._default_manager.filter(pk__in=keys)})
    return named
