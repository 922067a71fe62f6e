"""Pages that do one thing with many at once: lend them, take them back, mark a hazard. Shown first, then done."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from inventory.holdings.actions import lend, take_back
from inventory.holdings.actions.each import on_each
from inventory.holdings.actions.hazards import note_hazards
from inventory.holdings.forms.counts import TagsField
from inventory.holdings.forms.hazards import HazardsForm
from inventory.holdings.forms.loans import BackForm, LendForm
from inventory.holdings.models import HazardMark, Item
from inventory.holdings.rules.tag_runs import IN_PARTS
from inventory.holdings.views.ticked import ticked_tags
from inventory.house.access import needs
from inventory.house.edit_pages import person
from inventory.house.search import place_words

MOST = 200  # things at once: each is checked for itself, twice
_RUN = "Type or scan them, one a line. T-0003..T-0010 is a run."


class _Tags(forms.Form):
    tags = TagsField(label="tags", help_text=_RUN)
    field_order = ["tags"]

    def clean_tags(self) -> list[Item]:
        items: list[Item] = self.cleaned_data["tags"]
        if len(items) > MOST:
            raise forms.ValidationError(f"{len(items)} things; at most {MOST} at once. {IN_PARTS}")
        return items


class LendManyForm(_Tags, LendForm):
    why = forms.CharField(
        max_length=60, required=False, label="why all the same",
        help_text="For those that go without what belongs with them, or on which something counts.",
    )  # fmt: skip


class BackManyForm(_Tags, BackForm):
    pass


class HazardManyForm(_Tags, HazardsForm):
    field_order = ["tags", "hazards"]


def _many(
    request: HttpRequest, make: Any, start: dict[str, Any], act: Callable[[Item, dict[str, Any]], str],
    told: Callable[[Item], str], back: str, **words: str,
) -> HttpResponse:  # fmt: skip
    """A form, what it would do with each thing, and then that: ``sure`` in the form."""
    sent = request.method == "POST"
    form = make(request.POST if sent else None, initial={"tags": "\n".join(ticked_tags(request)), **start})
    found, status = None, 422 if sent else 200
    if sent and form.is_valid():
        cells, sure = form.cleaned_data, "sure" in request.POST
        try:
            found = on_each(cells["tags"], lambda item: act(item, cells), told, write=sure)
            status = 200
        except ValidationError as refusal:
            form.add_error(None, refusal)
        if found is not None and sure:
            done = sum(not one.refused for one in found)
            left = [f"{one.item.tag}: {one.refused}" for one in found if one.refused]
            messages.success(request, f"{words['done']}: {done}.")
            if left:
                more = f" And {len(left) - 5} more." if len(left) > 5 else ""
                messages.warning(request, f"Left as they are: {' '.join(left[:5])}{more}")
            return redirect(back)
    context = {"form": form, "found": found, "any": any(not one.refused for one in found or ()), **words}
    return render(request, "holdings/many_acts.html", context, status=status)


@needs("change", "holdings.item")
def things_lend(request: HttpRequest) -> HttpResponse:
    """Lend several things to one person, until one day."""

    def act(item: Item, cells: dict[str, Any]) -> str:
        lend(
            item, cells["lent_to"], on=cells["on"], today=timezone.localdate(), by=request.user, why=cells["why"],
            due=cells["due"], condition=cells["condition"], terms=cells["terms"],
        )  # fmt: skip
        until = f" until {cells['due']}" if cells["due"] else ""
        return f"lent to {cells['lent_to']}{until}"

    return _many(
        request, LendManyForm, {"on": timezone.localdate()}, act, place_words, "holdings:loan-list",
        heading="Lend several things", look="Show what will be lent", do="Lend them", done="Lent",
    )  # fmt: skip


@needs("change", "holdings.item")
def things_back(request: HttpRequest) -> HttpResponse:
    """Take several things back that were lent."""

    def act(item: Item, cells: dict[str, Any]) -> str:
        take_back(item, on=cells["on"], condition=cells["condition"], by=request.user, today=timezone.localdate())
        return "here again"

    return _many(
        request, BackManyForm, {"on": timezone.localdate()}, act, place_words, "holdings:loan-list",
        heading="Take several things back", look="Show what comes back", do="They are back", done="Back",
    )  # fmt: skip


@needs("add", "holdings.hazardmark")
def things_hazard(request: HttpRequest) -> HttpResponse:
    """Mark the same hazards on several things."""

    def act(item: Item, cells: dict[str, Any]) -> str:
        made = note_hazards(
            item, cells["hazards"], standing=cells["standing"], reason=cells["reason"], on=cells["on"],
            by_whom=cells["by_whom"], by=request.user,
        )  # fmt: skip
        return ", ".join(f"{mark.hazard}: {mark.get_standing_display()}" for mark in made)

    def told(item: Item) -> str:
        return ", ".join(mark.hazard for mark in item.hazards.all()) or "nothing marked"

    start = {"on": timezone.localdate(), "standing": HazardMark.CONFIRMED, "by_whom": person(request)}
    return _many(
        request, HazardManyForm, start, act, told, "holdings:hazard-list",
        heading="A hazard of several things", look="Show what will be marked", do="Mark them", done="Marked",
        caution="Look without opening or scraping.",
    )  # fmt: skip
