"""Striking out and correcting: nothing is lost, and nobody overwrites a correction that he or she did not see."""

import hashlib
from typing import Any, TypeVar

from django.db import models, transaction

from inventory.house.history import changes_of
from inventory.house.writing import refuse, write

Row = TypeVar("Row", bound=models.Model)
LOOKED_BACK = 10  # changes that a refusal looks through
NEW = "new"  # the state of what is not in the database yet


def state_of(row: models.Model) -> str:
    """The state of a row as it was read from the database, as a short text; ``NEW`` where it is not there yet."""
    if row._state.adding:
        return NEW
    return _told(row)


def _told(row: models.Model) -> str:
    told = [f"{field.attname}={getattr(row, field.attname)}" for field in row._meta.concrete_fields]
    for field in row._meta.many_to_many:
        keys = getattr(row, field.name).order_by("pk").values_list("pk", flat=True)
        told.append(f"{field.name}={list(keys)}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:20]


def hold(row: models.Model, *seen: str) -> None:
    """Lock a row that is to be corrected, for the rest of the transaction.

    Raises ValidationError where it is struck out, or is not in each of the states that were ``seen`` (``state_of``;
    an empty one: not said). A new row is left alone.
    """
    if row._state.adding:
        if set(seen) - {"", NEW}:
            raise refuse("seen", "This record is not there any more. Enter it anew.")
        return
    now = type(row)._base_manager.select_for_update(of=("self",), no_key=True).filter(pk=row.pk).first()
    if now is None:
        raise refuse("seen", "This record is not there any more. Enter it anew.")
    if struck := getattr(now, "struck", ""):
        raise refuse("on", f"It is struck out: {struck}. Record it anew instead.")
    state = state_of(now)
    if stale := [one for one in seen if one and one != state]:
        told = f"Somebody changed this record since you opened it{_changed_since(now, stale[-1])}."
        raise refuse("seen", f"{told} What you typed still stands below: sent again, it is written over that.")


def _changed_since(row: models.Model, seen: str) -> str:
    """Who changed a row since it was in a state, when, and what, by its history; at least the last change."""
    if not hasattr(row, "history"):
        return ""
    told: list[str] = []
    records = row.history.order_by("-history_id")[:LOOKED_BACK]
    for record, change in zip(records, changes_of(row, limit=LOOKED_BACK), strict=False):
        if told and _told(record.instance) == seen:
            break
        fields = "; ".join(f"{name}: {old} became {new}" for name, old, new in change.fields)
        told.append(f"{change.by}, {change.at:%Y-%m-%d %H:%M}{f', {fields}' if fields else ''}")
    else:
        told = told[:1]  # the state that was seen is not among them
    return f" ({'. Before that: '.join(told)})"[:600] if told else ""


@transaction.atomic
def strike_out(row: Row, why: str, *, by: Any) -> Row:
    """Take a record out of the count without losing it: it stays readable, with the reason, and counts no more."""
    if not why.strip():
        raise refuse("why", "Say why it is struck out.")
    now: Any = type(row)._base_manager.select_for_update(of=("self",), no_key=True).get(pk=row.pk)
    if now.struck:
        raise refuse("why", f"It is struck out already: {now.struck}.")
    now.struck = why.strip()[:200]
    row.struck = now.struck  # type: ignore[attr-defined]
    write(now, by=by, reason="struck out")
    return row
