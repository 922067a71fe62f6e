"""The collection in figures as JSON."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.figures.forms import FiguresForm
from inventory.figures.views import asked
from inventory.figures.wording.told import as_json
from inventory.house.access import needs


@require_GET
@needs("view", "holdings.tube")
def figures(request: HttpRequest) -> JsonResponse:
    """``/api/figures?few=3&within=12``: as ``manage.py figures`` gives it; money for helpers and keepers alone.

    ``within``: the number of a place, as its page has it.
    """
    form = FiguresForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    return JsonResponse(as_json(asked(request, form)))
