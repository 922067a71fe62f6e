"""What is ticked in a list, as the acts on many things take it over."""

from django.contrib import messages
from django.http import HttpRequest, QueryDict

from inventory.holdings.rules.tag_runs import MOST
from inventory.holdings.views.listed_shape import loose
from inventory.house.access import may
from inventory.house.areas import list_named
from inventory.house.filters import filter_of


def ticked_tags(request: HttpRequest) -> list[str]:
    """The tags that a list hands on: those ticked in it one by one, or all that match, with the list's own address."""
    picked = request.GET.getlist("pick")
    try:
        one = list_named(request.GET.get("list", ""))
    except KeyError:
        return picked
    if not one.of_things or not may(request.user, "view", one.model):
        return picked
    found = filter_of(one)(QueryDict(request.GET.get("narrowed", "")), queryset=one.here())
    if not found.is_valid():
        return picked
    tags = list(loose(found.qs).values_list("item__tag", flat=True)[: MOST + 1])
    if len(tags) > MOST:
        messages.error(request, f"More than {MOST} things are ticked. Narrow the list and take them in parts.")
        return picked
    return tags
