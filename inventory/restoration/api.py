"""Readiness and the assignment as JSON, as the commands give them."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from inventory.restoration.queries.allocation import whole_assignment
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.assured import parse_some


@require_GET
@needs("view", "restoration.plan")
def readiness_of(request: HttpRequest) -> JsonResponse:
    """``/api/readiness?name=C-0001&hours=500&assurance=0.95&enough=6SN7GT:3``: as ``manage.py readiness`` gives it."""
    try:
        hours, assurance = (float(text) if (text := request.GET.get(key)) else None for key in ("hours", "assurance"))
        some = parse_some(request.GET.getlist("enough"))
        found = readiness(request.GET.get("name", ""), timezone.localdate(), hours, assurance, some)
    except ValueError as refusal:
        return JsonResponse({"errors": {"name": [str(refusal)]}}, status=400)
    return JsonResponse(found.as_dict())


@require_GET
@needs("view", "restoration.plan")
def allocation(request: HttpRequest) -> JsonResponse:
    """``/api/allocation``, with ``?swap=PLAN&swap=PLAN``: as ``manage.py allocate`` gives it."""
    try:
        return JsonResponse(whole_assignment(request.GET.getlist("swap")))
    except ValueError as refusal:
        return JsonResponse({"errors": {"swap": [str(refusal)]}}, status=400)
