"""Papers of a valuation: the page, the same as PDF, the same as data."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import may, needs, role_of
from inventory.house.edit_pages import person
from inventory.house.paper import paper_of, pdf_answer, site_of
from inventory.valuation.forms import USUAL
from inventory.valuation.forms.lots import KEPT, KeepSaleForm
from inventory.valuation.forms.papers import PaperForm
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.stated import Stated, stated, stated_of
from inventory.valuation.wording.papers.kinds import PAPERS, PaperKind, as_json

RIGHTS = "valuation.contact"  # rows by which it is told who may have which paper
SHOWN = 200  # rows of a table on the page; the PDF has all


def _kind(request: HttpRequest, key: str) -> PaperKind:
    """The paper that is asked for."""
    if key not in PAPERS:
        raise Http404
    return PAPERS[key]


def _asked(request: HttpRequest, kind: PaperKind, currency: str) -> tuple[PaperForm, Stated | None, Any]:
    """The form, the valuation and the answer of the paper; None, None where it cannot be answered as asked.
    ``currency``: where none is asked for.

    Not everybody may have every paper, nor each with its sums; a sale list as bidders see it tells none.
    """
    form, today = PaperForm(kind, request.GET), timezone.localdate()
    valid = form.is_valid()
    if not may(request.user, kind.needs(form.settings, appraisal=form.of_kept) if valid else kind.who, RIGHTS):
        sums = " with what things are worth" if may(request.user, kind.who, RIGHTS) else ""
        raise PermissionDenied(
            f"Your role ({role_of(request.user) or 'none'}) may not see the {kind.title.lower()}{sums}."
        )
    if not may(request.user, "add", RIGHTS):
        form.leave_out_sums()
    if not valid:
        return form, None, None
    try:
        kept = form.cleaned_data["appraisal"]
        asked = form.asked(today, currency)
        found = stated_of(kept) if kept else stated(collection(**asked), by=person(request), today=today)
    except ValueError as refusal:
        form.add_error(None, str(refusal))
        return form, None, None
    return form, found, kind.ask(found, today, form.settings)


@needs("view", "valuation.appraisal")
def paper(request: HttpRequest, key: str) -> HttpResponse:
    """A paper as page, with the form that asks for it otherwise."""
    kind = _kind(request, key)
    form, found, answer = _asked(request, kind, keepers_currency())
    context: dict[str, Any] = {"form": form, "kind": kind, "found": found, "papers": PAPERS.values()}
    if found:
        context |= {"printed": kind.printed(answer).shortened(SHOWN), "asked": request.GET.urlencode()}
        if kind.key == "lots":
            context["keep"] = KeepSaleForm(prefix=KEPT)
    return render(request, "valuation/paper.html", context, status=200 if found else 422)


@needs("view", "valuation.appraisal")
def paper_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same on paper."""
    from inventory.house.printed_pdf import printed_pdf  # its fonts load slowly: when asked

    kind = _kind(request, key)
    form, found, answer = _asked(request, kind, keepers_currency())
    if not found:
        return render(
            request, "valuation/paper.html", {"form": form, "kind": kind, "papers": PAPERS.values()}, status=422
        )
    asked = request.GET.copy()
    asked.pop("paper", None)
    page = reverse("valuation:paper", args=[key]) + (f"?{asked.urlencode()}" if asked else "")
    body = printed_pdf(
        kind.printed(answer),
        site_of(request)(page),
        paper=paper_of(request),
        foot=foot(kind, found, answer, person(request)),
    )
    return pdf_answer(body, key)


def foot(kind: PaperKind, found: Stated, answer: Any, by: str) -> str:
    """What stands in the foot of every page."""
    valued = f", valued {found.on} in {found.currency}" if getattr(answer, "values", True) else ""
    return f"{kind.title}{valued}; printed {timezone.localtime():%Y-%m-%d %H:%M} by {by}"


@require_GET
@needs("view", "valuation.appraisal")
def api_paper(request: HttpRequest, key: str) -> JsonResponse:
    """``/api/paper/insurance?basis=replacement&place=3``: as ``manage.py print_value`` gives it with ``--json``."""
    kind = _kind(request, key)
    form, found, answer = _asked(request, kind, USUAL)
    if not found:
        return JsonResponse({"errors": form.errors}, status=400)
    return JsonResponse(as_json(kind, found, answer))
