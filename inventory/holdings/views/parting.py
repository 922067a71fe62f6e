"""Pages for parting with a thing, and for taking back one that was entered by mistake."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import part_with
from inventory.holdings.actions.mistakes import INSTEAD, hangs_on, restore_entry, strike_entry, take_back_mistake
from inventory.holdings.actions.said import LEFT
from inventory.holdings.forms import PartWithForm
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.models import Item
from inventory.holdings.queries.together import barred, before_it_leaves
from inventory.holdings.rules.mistakes import never_was
from inventory.house.access import needs
from inventory.house.concerns import held_by, minded_when_carried
from inventory.house.edit_pages import change_page


@needs("change", "holdings.item")
def item_part_with(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    left = before_it_leaves(item, parting=True)

    def save(form: Any) -> tuple[str, str]:
        cells, today = form.cleaned_data, timezone.localdate()
        part_with(
            item, cells["how"], on=cells["on"], today=today, by=request.user, why=cells.get("why", ""),
            record={name: cells[name] for name in LEFT},
        )  # fmt: skip
        return f"{tag} has left the collection. Its record and its tag stay.", item.get_absolute_url()

    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: why_alone(PartWithForm(data, initial=start), left), save,
        heading=f"Part with {tag}", act="Part with it", grave=True, back=item.get_absolute_url(),
        caution=" ".join(filter(None, [barred(item, parting=True), minded_when_carried([item]), left])),
    )  # fmt: skip


class MistakeForm(forms.Form):
    why = forms.CharField(max_length=60, label="what was wrong", help_text="It stays in the history.")


class AfterAllForm(forms.Form):
    why = forms.CharField(max_length=60, label="why it stands again", help_text="It stays in the history.")


@needs("change", "holdings.item")
def item_mistake(request: HttpRequest, tag: str) -> HttpResponse:
    """Take a thing out of the register that was entered by mistake, while nothing hangs on it; else strike it out; and
    where its entry is struck out, let it stand again.
    """
    item = get_object_or_404(Item, tag=tag)
    if item.gone_on and never_was(item.gone_how):
        return _restore_entry(request, item)
    if found := hangs_on(item):
        return _strike_entry(request, item, found)

    def save(form: Any) -> tuple[str, str]:
        take_back_mistake(item, by=request.user, why=form.cleaned_data["why"])
        return f"{tag} is taken back, and the tag is not given again.", reverse("frontpage:home")

    return change_page(
        request, MistakeForm, save, heading=f"Take back {tag}, entered by mistake", act="Take it back", grave=True,
        back=item.get_absolute_url(), caution="Its entry leaves the register. Take its label off.",
    )  # fmt: skip


def _restore_entry(request: HttpRequest, item: Item) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        fresh = restore_entry(item, by=request.user, why=form.cleaned_data["why"])
        lies = f", in {fresh.place.path}" if fresh.place else "; give it a place"
        return f"{item.tag} stands in the register again{lies}.", item.get_absolute_url()

    return change_page(
        request, AfterAllForm, save, heading=f"{item.tag} is there after all", act="Let its entry stand again",
        back=item.get_absolute_url(), caution=f"{item.gone_how}, on {item.gone_on}.",
    )  # fmt: skip


def _strike_entry(request: HttpRequest, item: Item, found: list[str]) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        strike_entry(item, by=request.user, why=form.cleaned_data["why"])
        return f"The entry of {item.tag} is struck out. Its record and its tag stay.", item.get_absolute_url()

    bars = item.gone_on or item.lent_to or held_by(item)
    told = f"{item.tag} cannot be taken back: {', '.join(found)}. {INSTEAD}"
    context: dict[str, Any] = {
        "heading": f"Strike out the entry of {item.tag}", "act": "Strike its entry out", "grave": True,
        "back": item.get_absolute_url(), "caution": told,
    }  # fmt: skip
    if bars:  # no button for what would be refused; the way out is on the page of the thing
        return render(request, "holdings/mistake_barred.html", {**context, "item": item}, status=422)
    return change_page(request, MistakeForm, save, **context)
