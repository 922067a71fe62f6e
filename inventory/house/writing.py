"""Writing a row so that who, when, what before and what after stay on record."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

Row = TypeVar("Row", bound=models.Model)
AT_ONCE = 500  # rows of one statement


def person_or_none(by: Any) -> Any:
    """The account that did something; None for a command or somebody who is not logged in."""
    return by if getattr(by, "pk", None) else None


def write(row: Row, *, by: Any, reason: str = "") -> Row:
    """Check the whole row, save it, and let its history name the person and the reason."""
    row.full_clean()
    row._history_user = person_or_none(by)  # type: ignore[attr-defined]
    row._change_reason = reason[:100] or None  # type: ignore[attr-defined]
    row.save()
    return row


def remove(row: models.Model, *, by: Any, reason: str = "") -> None:
    """Delete a row, and let its history name the person and the reason."""
    row._history_user = person_or_none(by)  # type: ignore[attr-defined]
    row._change_reason = reason[:100] or None  # type: ignore[attr-defined]
    row.delete()


def write_alike(rows: Sequence[Row], *, by: Any, reason: str = "") -> list[Row]:
    """Write new rows that differ in nothing but what was given out free: the first is checked for all of them.

    Three statements for each ``AT_ONCE`` rows, with a history row for each.
    """
    if not rows:
        return []
    rows[0].full_clean()
    made = list(type(rows[0])._default_manager.bulk_create(rows, batch_size=AT_ONCE))
    keep_history(made, "+", by=by, reason=reason[:100], at=timezone.now())
    return made


def keep_history(rows: Sequence[Any], how: str, *, by: Any, reason: str, at: datetime) -> None:
    """Write a history row for each of some rows of one model: ``+`` made, ``-`` removed."""
    if not rows:
        return
    kept = type(rows[0]).history.model
    names = [one.attname for one in kept.tracked_fields]
    person = getattr(person_or_none(by), "pk", None)
    fixed = {
        "history_date": at,
        "history_type": how,
        "history_change_reason": reason or None,
        "history_user_id": person,
    }
    kept._base_manager.bulk_create(
        [kept(**fixed, **{name: row.__dict__[name] for name in names}) for row in rows], batch_size=AT_ONCE
    )


def refuse(field: str, text: str) -> ValidationError:
    """A refusal that names the field, what is wrong and how to mend it."""
    return ValidationError({field: text})
