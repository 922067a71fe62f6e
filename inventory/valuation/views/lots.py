"""Pages of kept sales: the list, one sale with its lots, sold or ended; the same on paper and as data."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from inventory.house.access import may, may_see_money, needs
from inventory.house.edit_pages import WITH_CHANGES, person, show_refusal
from inventory.house.history import changes_of
from inventory.house.money import Money
from inventory.house.paper import paper_of, pdf_answer, site_of
from inventory.house.records.pages import NOT_ASKED, WELCOME, correct_page, reason_in, strike_page
from inventory.house.sheets import sheet
from inventory.valuation.actions.lots import correct_sold, end_lot, keep_sale, save_lot, save_sale, sell_lot, strike_lot
from inventory.valuation.forms.lots import KEPT, EndForm, KeepSaleForm, LotForm, SaleForm, SoldForm, SoldRightForm
from inventory.valuation.forms.papers import PaperForm
from inventory.valuation.models import LotSale, SaleLot
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.lots import kept_sale, proposed, sales_kept
from inventory.valuation.queries.stated import stated, stated_of
from inventory.valuation.wording.papers.kinds import PAPERS
from inventory.valuation.wording.papers.lots import lots_printed


@needs("view", "valuation.lotsale")
def sale_list(request: HttpRequest) -> HttpResponse:
    page = sheet(request, sales_kept())
    return render(request, "valuation/sales.html", {"page": page})


@require_POST
@needs("change", "valuation.lotsale")
def sale_keep(request: HttpRequest) -> HttpResponse:
    """Keep the list that the form of the paper asks for as a sale."""
    kind, today = PAPERS["lots"], timezone.localdate()
    form, keep = PaperForm(kind, request.POST), KeepSaleForm(request.POST, prefix=KEPT)
    if form.is_valid() and keep.is_valid():
        kept = form.cleaned_data["appraisal"]
        row = keep.save(commit=False)
        row.by_whom = person(request)[:80]
        try:
            found = (
                stated_of(kept)
                if kept
                else stated(collection(**form.asked(today, keepers_currency())), by=row.by_whom, today=today)
            )
            made = keep_sale(row, proposed(found, today, **form.settings), by=request.user)
        except ValidationError as refusal:
            show_refusal(keep, refusal)
        except ValueError as refusal:  # an empty place, a day before a currency was one
            form.add_error(None, str(refusal))
        else:
            return redirect(made)
    context = {"form": form, "kind": kind, "keep": keep, "papers": PAPERS.values()}
    return render(request, "valuation/paper.html", context, status=422)


@needs("view", "valuation.lotsale")
def sale(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(LotSale, pk=pk)
    found = kept_sale(row, bidders=_as_bidder(request), money=may_see_money(request.user))
    context = {"sale": row, "found": found, "lots": sheet(request, found.lots), "printed": lots_printed(found)}
    context["struck"] = row.lots.exclude(struck="").order_by("number")  # type: ignore[attr-defined]
    return render(request, "valuation/sale.html", context)


@needs("view", "valuation.lotsale")
def sale_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The sale on paper; with ``bidders`` as bidders may see it, as whoever may only look sees it always."""
    from inventory.house.printed_pdf import printed_pdf  # its fonts load slowly: when asked

    row = get_object_or_404(LotSale, pk=pk)
    bidders, money = "bidders" in request.GET or _as_bidder(request), may_see_money(request.user)
    found = kept_sale(row, bidders=bidders, money=money)
    foot = f"{row.name}, sale list, printed {timezone.localtime():%Y-%m-%d %H:%M} by {person(request)}"
    address = site_of(request)(reverse("valuation:sale", args=[pk]))
    return pdf_answer(printed_pdf(lots_printed(found), address, paper=paper_of(request), foot=foot), "sale")


@require_GET
@needs("view", "valuation.lotsale")
def api_sale(request: HttpRequest, pk: int) -> JsonResponse:
    """``/api/sales/3``: a kept sale with its lots and what became of each; money as text.

    Values and reserves are null for whoever may only look, and what lots were sold for for whoever sees no money.
    """
    row = get_object_or_404(LotSale, pk=pk)
    told = {"name": row.name, "planned_for": row.on and str(row.on), "venue": row.venue, "currency": row.currency}
    return JsonResponse(told | kept_sale(row, bidders=_as_bidder(request), money=may_see_money(request.user)).as_dict())


def _as_bidder(request: HttpRequest) -> bool:
    """Whether somebody sees a sale as bidders do: a reserve is kept from all but those who hold the sale."""
    return not may(request.user, "change", "valuation.lotsale")


@needs("change", "valuation.lotsale")
def sale_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(LotSale, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        kept = save_sale(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{kept}: written.", row.get_absolute_url()

    return correct_page(
        request, row, lambda data: SaleForm(data, instance=row), save, why=WELCOME, heading=f"Change {row}",
        back=row.get_absolute_url(), template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.salelot")
def lot_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SaleLot.objects.select_related("sale"), pk=pk)

    def save(form: Any) -> tuple[str, str]:
        kept = save_lot(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{kept}: written.", row.get_absolute_url()

    return correct_page(
        request, row, lambda data: LotForm(data, instance=row), save, why=WELCOME, heading=f"Change {row}",
        back=row.get_absolute_url(), template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.salelot")
def lot_sold(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SaleLot.objects.select_related("sale"), pk=pk)
    today = timezone.localdate()
    start = {
        "price": row.reserve, "currency": row.sale.currency, "on": today, "venue": row.sale.venue,
    }  # fmt: skip

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        if not cells["price"]:
            raise ValidationError(
                {"price": "It was sold for more than nothing; what is given away leaves on its page."}
            )
        price = Money(cells["price"], cells["currency"])
        sell_lot(row, price, on=cells["on"], venue=cells["venue"], by=request.user, why=cells["why"], today=today)
        return f"{row} is sold for {price}; its things have left the collection.", row.sale.get_absolute_url()

    return correct_page(
        request, row, lambda data: SoldForm(data, initial=start), save, why=NOT_ASKED, act="It is sold", grave=True,
        heading=f"Sold: {row}, {row.title}", back=row.get_absolute_url(),
    )  # fmt: skip


@needs("change", "valuation.salelot")
def lot_price(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SaleLot.objects.select_related("sale"), pk=pk)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        price = Money(cells["price"], cells["currency"])
        correct_sold(row, price, venue=cells["venue"], by=request.user, reason=reason_in(form))
        return f"{row} was sold for {price}; so say its things.", row.get_absolute_url()

    return correct_page(
        request, row, lambda data: SoldRightForm(data, row), save,
        heading=f"Put right: {row}, {row.title}, sold on {row.ended_on}", back=row.get_absolute_url(),
        template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.salelot")
def lot_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SaleLot.objects.select_related("sale"), pk=pk)
    heading = f"Strike out: {row}, {row.title}"
    if row.state == SaleLot.SOLD:
        heading += "; its things are here again, without a place and out of their sets"
    return strike_page(
        request, row, heading=heading, back=row.sale.get_absolute_url(),
        strike=lambda form: strike_lot(row, form.cleaned_data["why"], by=request.user),
    )  # fmt: skip


@needs("change", "valuation.salelot")
def lot_end(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SaleLot.objects.select_related("sale"), pk=pk)
    start = {"on": timezone.localdate(), "state": SaleLot.UNSOLD}

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        end_lot(row, cells["state"], on=cells["on"], by=request.user, note=cells["why"])
        return f"{row} is {cells['state']}; its things are free again.", row.sale.get_absolute_url()

    return correct_page(
        request, row, lambda data: EndForm(data, initial=start), save, why=NOT_ASKED, act="Write",
        heading=f"Not sold: {row}, {row.title}", back=row.get_absolute_url(),
    )  # fmt: skip
