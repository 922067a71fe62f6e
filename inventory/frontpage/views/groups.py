"""The page of each group of the navigation: everything that can be reached from there, and what it is for."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.house.access import needs
from inventory.house.areas import GROUPS


@needs("view", "holdings.tube")
def group_page(request: HttpRequest, key: str) -> HttpResponse:
    group = next((one for one in GROUPS if one.key == key), None)
    if group is None:
        raise Http404(f"There is no group {key} of pages.")
    return render(request, "frontpage/group.html", {"group": group})
