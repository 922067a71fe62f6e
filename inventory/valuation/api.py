"""Price evidence and the value of the collection as JSON, by the same filter and form as the pages."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import may_see_money, needs
from inventory.house.currencies import currency_refused
from inventory.house.sheets import sheet, sheet_answer
from inventory.valuation.filters import EvidenceFilter
from inventory.valuation.forms import EstimateForm, ValueForm
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.evidence import evidence_list, lines
from inventory.valuation.queries.going import going
from inventory.valuation.wording.estimates import as_json
from inventory.valuation.wording.papers.kinds import SEE_SUMS
from tubes.queries import knowledge, type_named


@require_GET
@needs("view", "valuation.priceevidence")
def prices(request: HttpRequest) -> JsonResponse:
    """``/api/prices?of=807&kind=sold&since=2020-01-01``: one sheet of price evidence; money as text."""
    found = EvidenceFilter(request.GET, queryset=evidence_list())
    if not found.is_valid():
        return JsonResponse({"errors": found.errors}, status=400)
    page = sheet(request, found.qs)
    return sheet_answer(page, "prices", [line.as_dict() for line in lines(page.object_list)])


@needs("add", "valuation.appraisal", SEE_SUMS)
@require_GET
def appraise(request: HttpRequest) -> JsonResponse:
    """``/api/appraise?basis=replacement&on=2026-11-30&currency=EUR``: as ``manage.py appraise`` gives it.

    ``place``: the number of a place, as its page has it.
    """
    form = ValueForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    try:
        found = collection(**form.asked(timezone.localdate()))
    except ValueError as refusal:
        return JsonResponse({"errors": {"on": [str(refusal)]}}, status=400)
    return JsonResponse(found.as_dict())


@require_GET
@needs("view", "valuation.priceevidence")
def estimate_of(request: HttpRequest) -> JsonResponse:
    """``/api/estimate?of=6SN7GT&grade=unused&basis=replacement``: as ``manage.py estimate`` gives it."""
    form = EstimateForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    try:
        own = may_see_money(request.user)
        found = estimate(form.cleaned_data["of"], **form.asked(timezone.localdate()), own=own)
    except ValueError as refusal:
        return JsonResponse({"errors": {"of": [str(refusal)]}}, status=400)
    return JsonResponse(as_json(found, own=own))


@require_GET
@needs("view", "valuation.priceevidence")
def top_price(request: HttpRequest) -> JsonResponse:
    """``/api/top-price?of=807&currency=EUR``: as ``manage.py top_price`` gives it."""
    try:
        name = type_named(request.GET.get("of", ""), knowledge())
    except ValueError as refusal:
        return JsonResponse({"errors": {"of": [str(refusal)]}}, status=400)
    currency = request.GET.get("currency", "").strip().upper()
    if currency and (refused := currency_refused(currency)):
        return JsonResponse({"errors": {"currency": [refused]}}, status=400)
    own = may_see_money(request.user)
    return JsonResponse(going([name], timezone.localdate(), currency=currency, own=own)[name].as_dict())
