"""Price evidence as JSON, narrowed by the same filter as the page."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from inventory.house.sheets import sheet, sheet_answer
from inventory.valuation.filters import EvidenceFilter
from inventory.valuation.queries.evidence import evidence_list, lines


@require_GET
@needs("view", "valuation.priceevidence")
def prices(request: HttpRequest) -> JsonResponse:
    """``/api/prices?of=807&kind=sold&since=2020-01-01``: one sheet of price evidence; money as text."""
    found = EvidenceFilter(request.GET, queryset=evidence_list())
    if not found.is_valid():
        return JsonResponse({"errors": found.errors}, status=400)
    page = sheet(request, found.qs)
    return sheet_answer(page, "prices", [line.as_dict() for line in lines(page.object_list)])
