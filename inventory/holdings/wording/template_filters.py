"""Template words of the holdings."""

from typing import Any

from django import template
from django.utils import timezone

from inventory.holdings.models import Loan
from inventory.holdings.queries.loans import running_loans

register = template.Library()


@register.simple_tag
def loans_of(item: Any) -> list[Loan]:
    """The loans of a thing that run; each with ``late``, whether it is overdue today."""
    rows = running_loans(item)
    for row in rows:
        row.late = row.overdue(timezone.localdate())  # type: ignore[attr-defined]
    return rows
