"""Words and figures of tubes and dials on pages: template filters."""

from django import template

from tubes.rules.schemes import scheme_words
from tubes.rules.units import show_frequency

register = template.Library()


@register.filter
def kc(value: float | None) -> str:
    """A frequency in kc as a dial shows it."""
    return show_frequency(value)


@register.filter
def rated(value: object, field: str) -> str:
    """A published figure as a keeper says it: transconductance in mA/V too, high resistances in megohm."""
    if not isinstance(value, float):
        return str(value)
    if field == "gm_umho":
        return f"{value:,.10g} ({value / 1000:.10g} mA/V)"
    if field == "rp_ohm" and value >= 1e5:
        return f"{value:,.10g} ({value / 1e6:.10g} megohm)"
    return f"{value:,.10g}"


@register.filter
def arrows(text: str) -> str:
    """What moves from one pin to another, with an arrow that no line is broken inside."""
    return text.replace(" -> ", "\u00a0\u2192 ")


@register.filter
def scheme(name: str) -> str:
    """A numbering scheme in the trade's words."""
    return scheme_words(name)
