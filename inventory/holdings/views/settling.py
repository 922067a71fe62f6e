"""Settling the type of all tubes that are marked so, in one go."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.holdings.actions import settle_marked
from inventory.holdings.queries import unsettled_of
from inventory.house.access import needs
from inventory.house.edit_pages import change_page
from tubes.models import TubeType

SHOWN = 12


@needs("change", "holdings.tube")
def tubes_settle(request: HttpRequest, name: str) -> HttpResponse:
    kind = get_object_or_404(TubeType, name=name)
    tubes, back = unsettled_of(name), reverse("tubes:type", args=[name])

    def save(_form: Any) -> tuple[str, str]:
        done = settle_marked(kind, by=request.user)
        return f"{len(done)} settled as {kind}.", back

    named = ", ".join(map(str, tubes[:SHOWN])) + (f" and {len(tubes) - SHOWN} more" if len(tubes) > SHOWN else "")
    return change_page(
        request, forms.Form, save, act="Settle them", back=back,
        heading=f"Settle as {kind}: {named}" if tubes else f"No unsettled tube is marked as a {kind}",
    )  # fmt: skip
