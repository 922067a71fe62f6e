"""The page for parting with a thing."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.holdings.actions import part_with
from inventory.holdings.forms import PartWithForm
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.models import Item
from inventory.holdings.queries.together import barred, before_it_leaves
from inventory.house.access import needs
from inventory.house.concerns import minded_when_carried
from inventory.house.edit_pages import change_page


@needs("change", "holdings.item")
def item_part_with(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    left = before_it_leaves(item, parting=True)

    def save(form: Any) -> tuple[str, str]:
        cells, today = form.cleaned_data, timezone.localdate()
        part_with(item, cells["how"], on=cells["on"], today=today, by=request.user, why=cells.get("why", ""))
        return f"{tag} has left the collection. Its record and its tag stay.", item.get_absolute_url()

    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: why_alone(PartWithForm(data, initial=start), left), save,
        heading=f"Part with {tag}", act="Part with it", grave=True, back=item.get_absolute_url(),
        caution=" ".join(filter(None, [barred(item, parting=True), minded_when_carried([item]), left])),
    )  # fmt: skip
