"""Parts as JSON."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.holdings.queries.markings import read_marking
from inventory.holdings.rules.markings import MarkingFault
from inventory.house.access import needs


@require_GET
@needs("view", "holdings.partlot")
def markings(request: HttpRequest) -> JsonResponse:
    """``/api/markings?text=RC20BF103K&kind=type-designation``: as ``manage.py decode_marking`` gives it."""
    try:
        return JsonResponse(read_marking(request.GET.get("text", ""), request.GET.get("kind") or None).as_dict())
    except ValueError as refusal:
        at = "text" if isinstance(refusal, MarkingFault) else "kind"
        return JsonResponse({"errors": {at: [str(refusal)]}}, status=400)
