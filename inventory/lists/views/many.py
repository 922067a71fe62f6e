"""The page that changes many things alike: what is ticked in a list, typed or scanned, or bears one mark."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.queries.settling import marked_alike
from inventory.holdings.rules.tag_runs import MOST
from inventory.holdings.views.ticked import ticked_tags
from inventory.house.access import may, needs
from inventory.house.edit_pages import change_page
from inventory.house.writing import refuse
from inventory.lists.actions.bring_back import try_changes
from inventory.lists.actions.many import keep_alike, kind_of
from inventory.lists.actions.trial import drop_trial
from inventory.lists.forms import AlikeForm
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import LISTS

CAUTION = (
    "What you fill in is changed on every one of these things; what you leave empty stays. Nothing is written before "
    "you have seen each change, old and new. All of it can be taken back in one step."
)


@needs("change", "lists.importrun", "change many things together")
def things_change(request: HttpRequest) -> HttpResponse:
    """What is ticked in a list (``ticked_tags``); ``?marked=QX-99``: all tubes here without a type that bear a mark."""
    start: dict[str, Any] = {"tags": "\n".join(ticked_tags(request))}
    caution = CAUTION
    if marked := request.GET.get("marked", "").strip():
        spellings, same = marked_alike(marked)
        tags = list(same.values_list("item__tag", flat=True))
        start["tags"] = "\n".join(tags[:MOST])
        caution = f"{_marked_so(spellings, tags)} {CAUTION}"
    before = _tried_before(request)
    if before:
        start = before.options["asked"]

    def save(form: Any) -> tuple[str, str]:
        items = form.cleaned_data["tags"]
        if not may(request.user, "change", LISTS[kind_of(items)].model):
            raise refuse("tags", "Your role may not change these things.")
        why = form.cleaned_data["why"]
        with transaction.atomic():
            run = keep_alike(items, form.cells(), by=request.user)
            run.options |= {"why": why, "asked": _as_sent(form)}
            ImportRun.objects.filter(pk=run.pk).update(options=run.options)
            try_changes(run, today=timezone.localdate(), why=why)
            if before:  # said otherwise: what was tried before is forgotten
                drop_trial(before)
        return "This is what would be changed. Nothing is written yet.", reverse("lists:list-in", args=[run.pk])

    return change_page(
        request, lambda data: AlikeForm(data, initial=start), save, heading="Change many things together",
        act="Show what will change", back=reverse("holdings:tube-list"), caution=caution,
    )  # fmt: skip


def _as_sent(form: Any) -> dict[str, Any]:
    """What was filled in, to be filled in again."""
    return {name: form[name].value() for name in form.fields if form[name].value()}


def _tried_before(request: HttpRequest) -> ImportRun | None:
    """The change that ``?again=12`` names, tried and not written, by the same person."""
    key = request.GET.get("again", "")
    if not (key.isascii() and key.isdigit() and len(key) < 10):
        return None
    run = ImportRun.objects.filter(pk=int(key), state=ImportRun.TRIAL, by=request.user.pk).first()
    return run if run and run.options.get("asked") else None


def _marked_so(spellings: Sequence[str], tags: Sequence[str]) -> str:
    """Which tubes a mark picked, with every spelling of it, and how many are left for another time."""
    if not tags:
        return "No tube here without a type bears that mark."
    told = f"{len(tags)} without a type, marked {', '.join(spellings)}."
    more = f" The first {MOST} stand here; {len(tags) - MOST} are left for the next time." if len(tags) > MOST else ""
    return told + more
