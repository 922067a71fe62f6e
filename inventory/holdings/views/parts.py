"""Pages of part lots."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import add_parts, change_parts
from inventory.holdings.filters import PartFilter
from inventory.holdings.forms import NewPartLotForm, PartLotForm
from inventory.holdings.models import PartLot
from inventory.holdings.queries import movements_of, part_lots, with_own_number
from inventory.holdings.queries.doubts import with_claims
from inventory.holdings.rules.lot_text import why_unread
from inventory.holdings.views.listed import listed
from inventory.house.access import may_see_money, needs
from inventory.house.edit_pages import change_page
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in


@needs("view", "holdings.partlot")
def part_list(request: HttpRequest) -> HttpResponse:
    found = PartFilter(request.GET, queryset=with_own_number(part_lots()), money=may_see_money(request.user))
    return render(
        request, "holdings/parts.html", {"filter": found, "listed": listed(request, "parts", found, _claimed)}
    )


def _claimed(lots: Sequence[PartLot]) -> Sequence[PartLot]:
    with_claims(lot.item for lot in lots)
    return lots


@needs("view", "holdings.partlot")
def part_page(request: HttpRequest, tag: str) -> HttpResponse:
    lot = get_object_or_404(PartLot.objects.select_related("item__place", "type"), item__tag__iexact=tag)
    context = {
        "lot": lot,
        "item": lot.item,
        "movements": movements_of(lot.item),
        "changes": changes_of(lot, lot.item),
    }
    return render(request, "holdings/part.html", context)


def _read_as(lot: PartLot, given: Any) -> str:
    """What was read from the words on a new lot, or why nothing was; empty where somebody gave its kind."""
    if given:
        return ""
    if lot.type:
        return f"Read from its words: {lot.type}."
    why = why_unread(lot.name, lot.value)
    return f"No kind of part was read from its words, so no search by value finds it: {why}. Give it one by Change."


@needs("add", "holdings.partlot")
def part_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        lot = add_parts(
            form.save(commit=False), by=request.user, on=timezone.localdate(), place=cells["place"], tag=cells["tag"]
        )
        return f"{lot} added as {lot.item.tag}. {_read_as(lot, cells['type'])}".strip(), lot.get_absolute_url()

    asked = request.GET
    start: dict[str, Any] = {name: asked[name] for name in NewPartLotForm.base_fields if name in asked}
    if "like" in asked and (like := PartLot.objects.select_related("item").filter(item__tag=asked["like"]).first()):
        alike = ("name", "value", "type", "maker")  # each lot is counted, and looked at, for itself
        start |= {name: getattr(like, name) for name in alike} | {"place": like.item.place_id}
    return change_page(
        request, lambda data: NewPartLotForm(data, initial=start), save, "holdings/part_add.html",
        heading="Add a part lot", act="Add", back=reverse("holdings:part-list"),
    )  # fmt: skip


@needs("change", "holdings.partlot")
def part_change(request: HttpRequest, tag: str) -> HttpResponse:
    lot = get_object_or_404(PartLot.objects.select_related("item"), item__tag=tag)

    def save(form: Any) -> tuple[str, str]:
        change_parts(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{tag} written.", lot.get_absolute_url()

    return correct_page(
        request, lot, lambda data: PartLotForm(data, instance=lot), save, why=WELCOME,
        heading=f"Change {tag}", back=lot.get_absolute_url(),
    )  # fmt: skip
