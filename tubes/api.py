"""Tube knowledge as JSON."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from tubes.queries import knowledge


@require_GET
@needs("view", "tubes.tubetype")
def stamps(request: HttpRequest) -> JsonResponse:
    """``/api/stamps?text=VT-231&text=...``: the same answer as ``manage.py read_stamp``."""
    known = knowledge()
    return JsonResponse([known.read(text).as_dict() for text in request.GET.getlist("text")], safe=False)
