"""Writing a row so that who, when, what before and what after stay on record."""

from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

Row = TypeVar("Row", bound=models.Model)


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


def refuse(field: str, text: str) -> ValidationError:
    """A refusal that names the field, what is wrong and how to mend it."""
    return ValidationError({field: text})
