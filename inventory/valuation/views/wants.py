"""Pages of the want list: beside the keeper's own top price stands what the estimate makes of it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.holdings.actions import save_want, settle_want
from inventory.holdings.filters import WantFilter
from inventory.holdings.forms import SettleForm, WantForm
from inventory.holdings.models import Want
from inventory.holdings.queries import open_wants
from inventory.house.access import may_see_money, needs
from inventory.house.edit_pages import change_page, way_back
from inventory.house.history import changes_of
from inventory.house.records.pages import NOT_ASKED, WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.valuation.actions.wants import take_top_price
from inventory.valuation.queries.going import going, top_prices
from tubes.queries import knowledge, type_named


@needs("view", "holdings.want")
def want_list(request: HttpRequest) -> HttpResponse:
    every, money = "settled" in request.GET, may_see_money(request.user)
    rows = Want.objects.select_related("type").exclude(settled="") if every else open_wants()
    found = WantFilter(request.GET, queryset=rows, money=money)
    page = sheet(request, found.qs)
    tops = {} if every else top_prices(page.object_list, timezone.localdate(), own=money)
    lines = [(want, tops.get(want.pk)) for want in page.object_list]
    context = {"filter": found, "page": page, "lines": lines, "settled": every}
    return render(request, "valuation/wants.html", context)


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
        request, lambda data: WantForm(data, initial=start), save, template="valuation/want_form.html",
        heading="Put on the want list", act="Write", back=back, **_going(str(start["thing"])),
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
        template="valuation/want_form.html", heading=f"Change the want: {row}", back=reverse("holdings:want-list"),
        changes=changes_of(row), **_going(row.type.name if row.type else ""),
    )  # fmt: skip


def _going(text: str) -> dict[str, Any]:
    """What the page of a want says of prices, where what is wanted names a tube type."""
    try:
        name = type_named(text, knowledge()) if text else ""
    except ValueError:
        name = ""
    return {"going": going([name], timezone.localdate())[name] if name else None}


@require_POST
@needs("change", "holdings.want")
def want_top_price(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the top price of the estimate over as the keeper's own."""
    row = get_object_or_404(Want, pk=pk)
    try:
        want = take_top_price(row, request.POST.get("price", ""), today=timezone.localdate(), by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{want}: {want.price_text} at most, from the estimate.")
    return redirect("holdings:want-list")


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
