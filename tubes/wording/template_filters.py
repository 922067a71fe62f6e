"""Words and figures of tubes and dials on pages: template filters."""

from collections.abc import Mapping
from typing import Any

from django import template
from django.core.exceptions import FieldDoesNotExist
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from tubes.models import Rating
from tubes.queries import knowledge
from tubes.rules.handbook_names import electrodes_in_words
from tubes.rules.schemes import scheme_words
from tubes.rules.sources import in_titles
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
def electrodes(code: str) -> str:
    """What stands in a bulb, as the handbook codes it, in words: TT is two triodes."""
    return electrodes_in_words(code)


@register.filter
def figure_label(field: str) -> str:
    """A figure of the tables as the pages call it."""
    try:
        return str(Rating._meta.get_field(field).verbose_name)  # type: ignore[union-attr]
    except FieldDoesNotExist:
        return field


@register.filter
def arrows(text: str) -> str:
    """What moves from one pin to another, with an arrow that no line is broken inside."""
    return text.replace(" -> ", "\u00a0\u2192 ")


@register.filter
def scheme(name: str) -> str:
    """A numbering scheme in the trade's words."""
    return scheme_words(name)


@register.simple_tag(takes_context=True)
def texts(context: Any, keys: str) -> SafeString:
    """Texts that a finding names by their keys, by their titles; the key stands by where a pointer rests on one.

    The titles are asked for once a page.
    """
    request = context.get("request")
    titles: Mapping[str, str] | None = getattr(request, "titles_of_texts", None)
    if titles is None:
        titles = knowledge().titles
        if request is not None:
            request.titles_of_texts = titles
    return mark_safe(in_titles(str(conditional_escape(keys)), titles, _cited))


@register.filter
def cited(row: Any) -> str:
    """The text that a limit or a number rests on, by its title; its key stands by where a pointer rests on it."""
    return row.source if row.source_told == row.source else _cited(row.source, row.source_told)


def _cited(key: str, title: str) -> str:
    return format_html('<cite title="{}">{}</cite>', key, title)
