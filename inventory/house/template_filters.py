"""Words and figures on pages: template filters of the whole house."""

from typing import Any

from django import template
from django.utils.http import urlencode

register = template.Library()


@register.filter
def day(value: Any) -> str:
    """A date as 2025-03-02, or a dash where none is known."""
    return value.strftime("%Y-%m-%d") if hasattr(value, "strftime") else (value or "–")


@register.filter
def figure(value: Any) -> str:
    """A number without trailing zeros, or a dash where none is known."""
    return "–" if value is None or value == "" else (f"{value:g}" if isinstance(value, float) else str(value))


@register.simple_tag(takes_context=True)
def query_without(context: Any, *names: str) -> str:
    """The query string of this request without some names, ready to add another."""
    kept = [(k, v) for k, vs in context["request"].GET.lists() for v in vs if k not in names and v]
    return urlencode(kept)
