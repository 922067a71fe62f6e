"""Words and figures on pages: template filters of the whole house."""

from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.http import urlencode
from django.utils.safestring import SafeString

from inventory.house.areas import GROUPS, Group, Panel, Way, panels_of, ways_of
from inventory.house.concerns import claims_on
from inventory.house.filters import LAID_OUT
from inventory.house.trail import trail_of

register = template.Library()


@register.filter
def day(value: Any) -> str:
    """A date as 2025-03-02, or a dash where none is known."""
    return value.strftime("%Y-%m-%d") if hasattr(value, "strftime") else (value or "–")


@register.filter
def figure(value: Any) -> str:
    """A number without trailing zeros, or a dash where none is known."""
    return "–" if value is None or value == "" else (f"{value:g}" if isinstance(value, float) else str(value))


@register.filter
def money(value: Any) -> str:
    """An amount as 1,234.50, or a dash where none is known."""
    return "–" if value is None or value == "" else f"{value:,.2f}"


@register.filter
def unbroken(value: Any) -> SafeString:
    """Words in which a tag or a date stays whole at the end of a line (a browser breaks C-0003 after its hyphen)."""
    words = ("" if value is None else str(value)).split(" ")
    kept = (format_html('<span class="whole-word">{}</span>', w) if "-" in w and len(w) <= 16 else w for w in words)
    return format_html_join(" ", "{}", ((word,) for word in kept))


@register.filter
def at(values: Any, place: Any) -> Any:
    """What stands at a place of a row, counted from nought."""
    return values[int(place)]


@register.simple_tag
def claims_of(item: Any) -> list[str]:
    """What counts on a thing, in words."""
    return claims_on(item)


@register.simple_tag
def panels(subject: Any) -> tuple[Panel, ...]:
    """What higher areas show on the page of a thing."""
    return panels_of(subject)


@register.simple_tag(takes_context=True)
def query_without(context: Any, *names: str) -> str:
    """The query string of this request without some names, ready to add another."""
    kept = [(k, v) for k, vs in context["request"].GET.lists() for v in vs if k not in names and v]
    return urlencode(kept)


@register.simple_tag(takes_context=True)
def names_not_used(context: Any, form: Any) -> list[str]:
    """What the address of a list asks that the list does not know, so that nothing is left out by it."""
    query = context["request"].GET
    known = {*form.fields, *LAID_OUT, "own"}  # the sheet of a second list on the same page
    return [name[:80] for name in query if name not in known and any(query.getlist(name))]


@register.simple_tag(takes_context=True)
def navigation(context: Any) -> list[tuple[Group, str]]:
    """The groups of the navigation, each with its ``aria-current``: ``page``, ``true`` (a page below it) or none."""
    trail = trail_of(context)
    return [(group, ("page" if trail.own else "true") if group is trail.group else "") for group in GROUPS]


@register.simple_tag(takes_context=True)
def trail_head(context: Any) -> list[tuple[str, str]]:
    """How the trail of a page begins: its group, the page it lies under, the thing it is about, each with its address
    (empty: the page itself).
    """
    return trail_of(context).steps


@register.simple_tag(takes_context=True)
def ways_open(context: Any, key: str = "") -> list[Way]:
    """The pages of a group (that of the context, or by its key) that the reader may open, but for the group's own."""
    group = next((one for one in GROUPS if one.key == key), context.get("group"))
    open_to = ways_of(group, str(context.get("role") or "")) if group else ()
    return [way for way in open_to if way.page != group.page]
