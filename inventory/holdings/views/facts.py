"""Pages that add a fact to a thing or strike one out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.holdings.actions import add_facts
from inventory.holdings.forms import FactForm
from inventory.holdings.models import Fact, Item
from inventory.house.access import needs
from inventory.house.edit_pages import change_page
from inventory.house.records.pages import strike_page


@needs("add", "holdings.fact")
def fact_add(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    back = f"{item.get_absolute_url()}#facts"

    def save(form: Any) -> tuple[str, str]:
        made = add_facts(item, by=request.user, today=timezone.localdate(), **form.cleaned_data)
        return f"Written: {'; '.join(str(fact) for fact in made)}.", back

    start = {"about": request.GET.get("about", "")}
    return change_page(
        request, lambda data: FactForm(data, initial=start), save, heading=f"A fact of {tag}", act="Write", back=back
    )


@needs("change", "holdings.fact")
def fact_strike(request: HttpRequest, pk: int) -> HttpResponse:
    fact = get_object_or_404(Fact.objects.select_related("item"), pk=pk)
    back = f"{fact.item.get_absolute_url()}#facts"

    return strike_page(request, fact, heading=f"Strike out: {fact}", back=back)
