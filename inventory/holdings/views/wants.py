"""Pages of the want list."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import save_want, settle_want
from inventory.holdings.filters import WantFilter
from inventory.holdings.forms import SettleForm, WantForm
from inventory.holdings.models import Want
from inventory.holdings.queries import open_wants
from inventory.house.access import needs
from inventory.house.edit_pages import change_page, way_back
from inventory.house.history import changes_of
from inventory.house.records.pages import NOT_ASKED, WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet


@needs("view", "holdings.want")
def want_list(request: HttpRequest) -> HttpResponse:
    every = "settled" in request.GET
    rows = Want.objects.select_related("type").exclude(settled="") if every else open_wants()
    found = WantFilter(request.GET, queryset=rows)
    return render(request, "holdings/wants.html", {"filter": found, "page": sheet(request, found.qs), "settled": every})


@needs("add", "holdings.want")
def want_add(request: HttpRequest) -> HttpResponse:
    back = way_back(request, reverse("holdings:want-list"))

    def save(form: Any) -> tuple[str, str]:
        want = save_want(
            form.save(commit=False), today=timezone.localdate(), by=request.user, besides=form.cleaned_data["besides"]
        )
        told = f" as {want.type.name}" if want.type else "; no tube type is named by it alone"
        return f"{want} is on the want list{told}.", back

    start = {
        "since": timezone.localdate(),
        "quantity": 1,
        "thing": request.GET.get("thing", "").replace("\0", "")[:120],
    }
    return change_page(
        request, lambda data: WantForm(data, initial=start), save,
        heading="Put on the want list", act="Write", back=back,
    )  # fmt: skip


@needs("change", "holdings.want")
def want_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Want, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        want = save_want(
            form.save(commit=False), today=timezone.localdate(), by=request.user,
            besides=form.cleaned_data["besides"], reason=reason_in(form),
        )  # fmt: skip
        return f"{want} written.", reverse("holdings:want-list")

    return correct_page(
        request, row, lambda data: WantForm(data, instance=row), save, why=WELCOME,
        heading=f"Change the want: {row}", back=reverse("holdings:want-list"), changes=changes_of(row),
    )  # fmt: skip


@needs("change", "holdings.want")
def want_settle(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Want, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        settle_want(row, form.cleaned_data["why"], by=request.user)
        return f"{row} is off the want list.", reverse("holdings:want-list")

    return correct_page(
        request, row, SettleForm, save, why=NOT_ASKED, heading=f"Take off the want list: {row}", act="Take off",
        back=reverse("holdings:want-list"),
    )  # fmt: skip
