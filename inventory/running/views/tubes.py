"""The page of a tube: all that is known of one, its hours and tests among it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from inventory.holdings.models import Tube
from inventory.holdings.queries import movements_of
from inventory.house.access import needs
from inventory.house.history import changes_of
from inventory.running.queries import doubt_in, mates_in_words, tube_story, whereabouts_of
from inventory.running.wording.charts import trend_chart
from inventory.running.wording.sentences import trend_words
from inventory.sets.queries import fittings_of_tube


@needs("view", "holdings.tube")
def tube_page(request: HttpRequest, tag: str) -> HttpResponse:
    tube = get_object_or_404(Tube.objects.select_related("item__place", "type"), item__tag__iexact=tag)
    fittings = list(fittings_of_tube(tube))
    story = tube_story(tube, timezone.localdate())
    tube.doubt = doubt_in(story.lines)
    context = {
        "tube": tube,
        "item": tube.item,
        "fittings": fittings,
        "fitted": next((f for f in fittings if f.until is None), None),
        "story": story,
        "trends": [(line, trend_chart(line), trend_words(line)) for line in story.trends],
        "mates": mates_in_words(tube.item),
        "matched": whereabouts_of(tube.item),
        "movements": movements_of(tube.item),
        "changes": changes_of(tube, tube.item),
    }
    return render(request, "holdings/tube.html", context)
