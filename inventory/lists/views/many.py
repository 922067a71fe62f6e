"""The page that changes many things alike: what is ticked in a list, typed or scanned, or bears one mark."""

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.queries import tubes_here
from inventory.house.access import may, needs
from inventory.house.edit_pages import change_page
from inventory.house.writing import refuse
from inventory.lists.actions.bring_back import try_changes
from inventory.lists.actions.many import keep_alike, kind_of
from inventory.lists.forms import AlikeForm
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import LISTS

MOST_MARKED = 500  # tubes that one mark picks
CAUTION = (
    "What you fill in is changed on every one of these things; what you leave empty stays. Nothing is written before "
    "you have seen each change, old and new. All of it can be taken back in one step."
)


@needs("change", "lists.importrun", "change many things together")
def things_change(request: HttpRequest) -> HttpResponse:
    """``?pick=T-0001``: things that were ticked; ``?marked=QX-99``: all tubes here without a type that bear a mark."""
    start: dict[str, Any] = {"tags": "\n".join(request.GET.getlist("pick"))}
    if marked := request.GET.get("marked", "").strip():
        same = tubes_here().filter(marked__iexact=marked, type__isnull=True).order_by("item_id")
        start["tags"] = "\n".join(same.values_list("item__tag", flat=True)[:MOST_MARKED])

    def save(form: Any) -> tuple[str, str]:
        items = form.cleaned_data["tags"]
        if not may(request.user, "change", LISTS[kind_of(items)].model):
            raise refuse("tags", "Your role may not change these things.")
        why = form.cleaned_data["why"]
        with transaction.atomic():
            run = keep_alike(items, form.cells(), by=request.user)
            run.options["why"] = why
            ImportRun.objects.filter(pk=run.pk).update(options=run.options)
            try_changes(run, today=timezone.localdate(), why=why)
        return "This is what would be changed. Nothing is written yet.", reverse("lists:list-in", args=[run.pk])

    return change_page(
        request, lambda data: AlikeForm(data, initial=start), save, heading="Change many things together",
        act="Show what will change", back=reverse("holdings:tube-list"), caution=CAUTION,
    )  # fmt: skip
