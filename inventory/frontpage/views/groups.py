"""The page of each group of the navigation: everything that can be reached from there, and what it is for."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.house.access import needs, role_of
from inventory.house.areas import GROUPS, ways_of


@needs("view", "holdings.tube")
def group_page(request: HttpRequest, key: str) -> HttpResponse:
    group = next((one for one in GROUPS if one.key == key), None)
    if group is None:
        raise Http404(f"There is no group {key} of pages.")
    context: dict[str, Any] = {"group": group, "ways": ways_of(group, role_of(request.user))}
    return render(request, "frontpage/group.html", context)
