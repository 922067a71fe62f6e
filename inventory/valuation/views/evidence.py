"""Pages of price evidence: the list, a sale in one line, the form, corrections."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import may_see_money, needs
from inventory.house.edit_pages import change_page, person, show_refusal
from inventory.house.history import changes_of
from inventory.house.records.pages import correct_page, reason_in, strike_page
from inventory.house.sheets import sheet
from inventory.valuation.actions import row_of, save_evidence, settle, settle_rows, settleable
from inventory.valuation.filters import EvidenceFilter
from inventory.valuation.forms import EvidenceForm, LineForm
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.evidence import evidence_list, lines, own_named
from inventory.valuation.queries.money import rates
from inventory.valuation.rules.entry import Entry
from inventory.valuation.rules.one_line import LINE, read_line, written


@needs("view", "valuation.priceevidence")
def prices(request: HttpRequest) -> HttpResponse:
    found = EvidenceFilter(request.GET, queryset=evidence_list())
    page = sheet(request, found.qs)
    context: dict[str, Any] = {"filter": found, "page": page, "lines": lines(page.object_list)}
    narrowed = {name for name, value in request.GET.items() if value} - {"of", "page", "own", "order"}
    if may_see_money(request.user) and not narrowed:
        context["own"] = sheet(request, own_named(request.GET.get("of", "").replace("\0", "")), name="own")
    if request.GET.get("settled") == "no":
        context["settleable"] = len(settleable())
    return render(request, "valuation/prices.html", context)


@require_POST
@needs("change", "valuation.priceevidence")
def evidence_settle(request: HttpRequest) -> HttpResponse:
    """Settle rows that were kept as found and whose words name one thing alone by now."""
    many = settle_rows(by=request.user)
    messages.success(request, f"{many} price{'s' * (many != 1)} settled.")
    return redirect("valuation:prices")


@needs("add", "valuation.priceevidence")
def note(request: HttpRequest) -> HttpResponse:
    """A sale in one line: shown back as it is read, written when it is sent again as it was shown."""
    form = LineForm(request.POST if request.method == "POST" else None, initial={"line": request.GET.get("line", "")})
    read, row, status = None, None, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            cells = form.cleaned_data
            read = read_line(cells["line"], timezone.localdate(), cells["order"] or None)
            if isinstance(read, Entry):
                status = 200
                row = row_of(read)
                settle(row)
                row.by_whom = person(request)[:80]
                if cells["shown"] == cells["line"]:
                    try:
                        save_evidence(row, today=timezone.localdate(), by=request.user, besides=cells["besides"])
                    except ValidationError as refusal:
                        show_refusal(form, refusal)
                        status = 422
                    else:
                        messages.success(request, f"{row}: {row.each} each, written{_settled_words(row)}.")
                        return redirect("valuation:note")
            else:
                for fault in read:
                    where = "" if fault.column == LINE else f"{fault.column}: "
                    form.add_error("line", f"{where}{f'{fault.found!r}: ' if fault.found else ''}{fault.reason}")
    entry = read if isinstance(read, Entry) else None
    form.data = {**{key: form.data[key] for key in form.data}, "shown": form.data.get("line", "") if entry else ""}
    remarks = (*entry.remarks, rates().wanting(entry.money.currency, entry.on)) if entry else ()
    context = {
        "form": form, "entry": entry, "row": row, "again": written(entry) if entry else "",
        "remarks": list(filter(None, remarks)),
    }  # fmt: skip
    return render(request, "valuation/note.html", context, status=status)


@needs("add", "valuation.priceevidence")
def evidence_add(request: HttpRequest) -> HttpResponse:
    back = reverse("valuation:prices")
    start = {
        "on": timezone.localdate(), "quantity": 1, "by_whom": person(request),
        "designation": request.GET.get("designation", "").replace("\0", "")[:80],
    }  # fmt: skip

    def save(form: Any) -> tuple[str, str]:
        row = save_evidence(
            form.save(commit=False), today=timezone.localdate(), by=request.user, besides=form.cleaned_data["besides"]
        )
        return f"{row}: written{_settled_words(row)}.{_rate_words(row)}", back

    return change_page(
        request, lambda data: EvidenceForm(data, initial=start), save, heading="Note a price", act="Write", back=back
    )


def _rate_words(row: PriceEvidence) -> str:
    """That it does not count yet for lack of a rate, where that is so."""
    told = rates().wanting(row.currency, row.on)
    return f" {told[0].upper()}{told[1:]}." if told else ""


def _settled_words(row: PriceEvidence) -> str:
    if row.of:
        return f" as {row.of}"
    return "; no tube type is named by it alone, so it is kept as found"


@needs("change", "valuation.priceevidence")
def evidence_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PriceEvidence, pk=pk)
    back = reverse("valuation:prices")

    def save(form: Any) -> tuple[str, str]:
        kept = save_evidence(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{kept}: corrected.{_rate_words(kept)}", back

    return correct_page(
        request, row, lambda data: EvidenceForm(data, instance=row), save, heading=f"Correct: {row}", back=back,
        template="parts/form_and_changes.html", changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.priceevidence")
def evidence_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PriceEvidence, pk=pk)
    return strike_page(request, row, heading=f"Strike out: {row}", back=reverse("valuation:prices"))
