"""Look-up and bench report as JSON."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.frontpage.queries import SHOWN, bench_report, look_up, search_all
from inventory.frontpage.wording.bench import bench_as_json
from inventory.frontpage.wording.look_up import look_up_as_json
from inventory.house.access import needs


@require_GET
@needs("view", "holdings.tube")
def lookup(request: HttpRequest) -> JsonResponse:
    """``/api/lookup?text=VT-231``: the same answer as ``manage.py lookup``."""
    text = request.GET.get("text", "")
    found, others = look_up(text), search_all(text)
    if found.stamp.refused and not (found.matches or others):
        return JsonResponse({"errors": {"text": [found.stamp.refused]}}, status=400)
    return JsonResponse(look_up_as_json(found, others))


@require_GET
@needs("view", "holdings.tube")
def bench(request: HttpRequest) -> JsonResponse:
    """``/api/bench``: the same answer as ``manage.py bench``; ``/api/bench?all=yes`` as with ``--all``."""
    every = request.GET.get("all", "no")
    if every not in ("yes", "no"):
        return JsonResponse({"errors": {"all": [f"{every[:20]!r}: expected yes or no."]}}, status=400)
    return JsonResponse(bench_as_json(bench_report(timezone.localdate(), None if every == "yes" else SHOWN)))
