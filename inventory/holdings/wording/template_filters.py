"""Template words of the holdings."""

from typing import Any

from django import template
from django.db.models import prefetch_related_objects
from django.utils import timezone

from inventory.holdings.models import Loan
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS, by_rule, grounds_beside
from inventory.holdings.queries.loans import running_loans
from inventory.holdings.queries.record import Record
from inventory.holdings.queries.record import record_of as record_of_thing

register = template.Library()


@register.simple_tag
def hazards_said(item: Any) -> dict[str, Any]:
    """``marks``: those on record; ``rules``: why it is taken to bear hazards that nobody settled, by its own words and
    figures; ``looks``: checks that found none, the last first (three queries).
    """
    prefetch_related_objects([item], "hazards", HAZARD_FACTS)
    marks = list(item.hazards.all())
    return {
        "marks": marks,
        "rules": by_rule(item, grounds_beside([item]).get(item.pk, ())),
        "looks": list(item.hazard_checks.filter(struck="").order_by("-on", "-pk")[:3]),
    }


@register.simple_tag
def loans_of(item: Any) -> list[Loan]:
    """The loans of a thing that run; each with ``late``, whether it is overdue today."""
    rows = running_loans(item)
    for row in rows:
        row.late = row.overdue(timezone.localdate())  # type: ignore[attr-defined]
    return rows


@register.simple_tag
def record_of(item: Any) -> Record:
    """How a thing came, was found and left (three queries)."""
    return record_of_thing(item)
