"""Pairs as JSON: the same answer as ``manage.py pairings`` and the pages."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from inventory.pairing.forms import PairingFilterForm
from inventory.pairing.queries import pairing_table
from inventory.pairing.views import wanted_pairs


@require_GET
@needs("view", "pairing.neutralization")
def pairings(request: HttpRequest) -> JsonResponse:
    """``/api/pairings?chassis=0458&state=due&frequency=3.6+Mc&on=2026-01-31``."""
    form = PairingFilterForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    on, wanted = wanted_pairs(form, timezone.localdate())
    return JsonResponse([row.as_dict() for row in pairing_table(on, wanted)], safe=False)
