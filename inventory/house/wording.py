"""Words and figures on pages: template filters of the whole house."""

from typing import Any

from django import template
from django.utils.http import urlencode
from django.utils.text import slugify

register = template.Library()


@register.filter
def day(value: Any) -> str:
    """A date as 2025-03-02, or a dash where none is known."""
    return value.strftime("%Y-%m-%d") if hasattr(value, "strftime") else (value or "–")


@register.filter
def as_class(state: str) -> str:
    """A state as the tail of a class name: ``reset and verify`` -> ``reset-and-verify``."""
    return slugify(state)


@register.filter
def figure(value: Any) -> str:
    """A number without trailing zeros, or a dash where none is known."""
    return "–" if value is None or value == "" else (f"{value:g}" if isinstance(value, float) else str(value))


@register.filter
def item(mapping: Any, key: Any) -> Any:
    """``mapping[key]``, or nothing."""
    return mapping.get(key)


@register.simple_tag(takes_context=True)
def query_without(context: Any, *names: str) -> str:
    """The query string of this request without some names, ready to add another."""
    kept = [(k, v) for k, vs in context["request"].GET.lists() for v in vs if k not in names and v]
    return urlencode(kept)


@register.filter
def differences(record: Any) -> list[dict[str, Any]]:
    """What a history record changed: field, before, after."""
    before = record.prev_record
    if before is None:
        return []
    delta = record.diff_against(before, foreign_keys_are_objs=False)
    return [{"field": change.field.replace("_", " "), "old": change.old, "new": change.new} for change in delta.changes]
