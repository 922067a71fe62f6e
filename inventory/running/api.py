"""Hours and tests as JSON, narrowed by the same filters as the pages."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from inventory.house.sheets import sheet, sheet_answer
from inventory.running.filters import TestFilter
from inventory.running.queries import judged, test_list, tube_hours, with_points
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.queries import owned_tubes


@require_GET
@needs("view", "running.run")
def hours(request: HttpRequest) -> JsonResponse:
    """``/api/hours?type=807&page=2``: one sheet of tubes, each as ``manage.py tube_hours`` gives it."""
    found = OwnedTubeFilter(request.GET, queryset=owned_tubes())
    if not found.is_valid():
        return JsonResponse({"errors": found.errors}, status=400)
    page = sheet(request, found.qs)
    rows = [one.as_dict() for one in tube_hours(page.object_list, timezone.localdate())]
    return sheet_answer(page, "tubes", rows)


@require_GET
@needs("view", "running.tubetest")
def tests(request: HttpRequest) -> JsonResponse:
    """``/api/tests?type=807&instrument=1&since=2026-01-01``: one sheet of tests with their verdicts."""
    found = TestFilter(request.GET, queryset=test_list())
    if not found.is_valid():
        return JsonResponse({"errors": found.errors}, status=400)
    page = sheet(request, found.qs)
    rows = [line.as_dict() for line in with_points(judged(page.object_list))]
    return sheet_answer(page, "tests", rows)
