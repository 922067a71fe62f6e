"""What is ticked in a list, as the acts on many things take it over."""

from django.contrib import messages
from django.http import HttpRequest, QueryDict

from inventory.holdings.rules.tag_runs import IN_PARTS, MOST
from inventory.holdings.views.listed_shape import loose
from inventory.house.access import may, may_see_money
from inventory.house.areas import list_named
from inventory.house.filters import narrowed

NOTHING = "Nothing of that list is ticked: what is in a set is taken out of it first."


def hands_on(request: HttpRequest) -> bool:
    """Whether a list hands on all that match in it, by its name and its address."""
    return "list" in request.GET


def ticked_tags(request: HttpRequest) -> list[str]:
    """The tags that a list hands on: those ticked in it one by one, or all that match, with the list's own address."""
    picked = request.GET.getlist("pick")
    if not hands_on(request):
        return picked
    try:
        one = list_named(request.GET["list"])
    except KeyError:
        return picked
    if not one.of_things or not may(request.user, "view", one.model):
        return picked
    found = narrowed(one, QueryDict(request.GET.get("narrowed", "")), money=may_see_money(request.user))
    if not found.is_valid():
        return picked
    tags = list(loose(found.qs).values_list("item__tag", flat=True)[: MOST + 1])
    told = f"More than {MOST} things are ticked. {IN_PARTS}" if len(tags) > MOST else "" if tags else NOTHING
    if told and request.method == "GET":
        messages.error(request, told)
    return picked if told else tags
