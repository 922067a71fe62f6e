"""Tubes as JSON, narrowed by the same filter as the page."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.holdings.queries.doubts import with_words
from inventory.holdings.views.listed_api import groups_answer, refused, with_columns
from inventory.house.access import may_see_money, needs
from inventory.house.sheets import sheet, sheet_answer
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.queries import owned_tubes


@require_GET
@needs("view", "holdings.tube")
def tubes(request: HttpRequest) -> JsonResponse:
    """``/api/tubes?type=VT-231&state=good&order=-price-paid&page=2``: one sheet of tubes; ``count`` is of all sheets.

    ``columns=maker,price-paid``: rows gain ``columns``, as a file has them. ``group=type``: ``groups`` instead of rows.
    """
    found = OwnedTubeFilter(request.GET, queryset=owned_tubes(), money=may_see_money(request.user))
    if refusal := refused(request, "tubes", found):
        return refusal
    if request.GET.get("group"):
        return groups_answer(request, "tubes", found.qs)
    page = sheet(request, found.qs)
    tubes = with_words(page.object_list)
    rows = [
        {
            "tag": tube.tag,
            "type": tube.type.name if tube.type else None,
            "marked": tube.marked,
            "state": tube.state,
            "place": tube.item.place.path if tube.item.place else None,
            "fitted": tube.is_fitted,
            "lent_to": tube.item.lent_to or None,
            "own_number": tube.own_number,
            **({"in_doubt": tube.doubt.word, "in_doubt_on": tube.doubt.on.isoformat()} if tube.doubt else {}),
            **({"reserved": [claim.text for claim in tube.item.claims]} if tube.item.claims else {}),
        }
        for tube in tubes
    ]
    return sheet_answer(page, "tubes", with_columns(request, "tubes", found.qs, tubes, rows))
