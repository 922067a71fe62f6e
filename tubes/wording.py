"""Words and figures of tubes and dials on pages: template filters."""

from django import template

from tubes.rules.units import show_frequency

register = template.Library()


@register.filter
def kc(value: float | None) -> str:
    """A frequency in kc as a dial shows it."""
    return show_frequency(value)
