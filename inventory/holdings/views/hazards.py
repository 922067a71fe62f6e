"""Pages of the hazards of a thing: what was found, what is likely, what was looked for and not found."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import note_hazards, settle_hazard
from inventory.holdings.forms import HazardForm, HazardsForm
from inventory.holdings.models import HazardMark, Item
from inventory.holdings.queries import marks_of
from inventory.holdings.queries.hazard_grounds import mark_of
from inventory.holdings.queries.hazard_register import hazard_register
from inventory.holdings.rules.hazard_kinds import CARE
from inventory.holdings.rules.hazard_register import UNSEEN
from inventory.holdings.wording.hazard_register import rows_of
from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person
from inventory.house.records.pages import NOT_ASKED, correct_page

LOCAL = "Local codes and licensed practice come first."


@needs("view", "holdings.hazardmark")
def item_hazards(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    marks = [(mark, mark_of(mark).names) for mark in marks_of(item)]
    found = rows_of(one for one in hazard_register(only=item).entries if one.line.standing != UNSEEN)
    rows = [(row, [] if row.check else [one for one, names in marks if row.line.hazard in names]) for row in found]
    context = {"item": item, "rows": rows, "back": item.get_absolute_url(), "local": LOCAL}
    return render(request, "holdings/hazards.html", context)


@needs("add", "holdings.hazardmark")
def hazard_add(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    back = reverse("holdings:item-hazards", args=[tag])

    def save(form: Any) -> tuple[str, str]:
        made = note_hazards(item, by=request.user, **form.cleaned_data)
        return f"{', '.join(mark.hazard for mark in made)}: {made[0].get_standing_display()}.", back

    start = {
        "on": timezone.localdate(), "standing": request.GET.get("standing", HazardMark.CONFIRMED),
        "by_whom": person(request), "hazards": request.GET.getlist("hazard"),
    }  # fmt: skip
    return change_page(
        request, lambda data: HazardsForm(data, initial=start), save,
        heading=f"A hazard of {tag}", act="Write", back=back, caution=f"Look without opening or scraping. {LOCAL}",
    )  # fmt: skip


@needs("change", "holdings.hazardmark")
def hazard_settle(request: HttpRequest, pk: int) -> HttpResponse:
    mark = get_object_or_404(HazardMark.objects.select_related("item"), pk=pk)
    back = reverse("holdings:item-hazards", args=[mark.item.tag])

    def save(form: Any) -> tuple[str, str]:
        settle_hazard(mark, by=request.user, **{name: form.cleaned_data[name] for name in HazardForm.base_fields})
        return f"{mark.hazard} of {mark.item.tag}: {mark.get_standing_display()}.", back

    proposed = mark.standing == HazardMark.PROPOSED
    guessed = proposed and not mark.by_whom and mark.hazard != "other"  # by a list: no reason of who looked
    own = "" if guessed else mark.reason
    start = {"standing": mark.standing, "reason": own, "on": timezone.localdate(), "by_whom": person(request)}
    said = f"Proposed on {mark.on}{f': {mark.reason}' if mark.reason else ''}." if proposed else ""
    return correct_page(
        request, mark, lambda data: HazardForm(data, initial=start), save, why=NOT_ASKED,
        heading=f"{mark.hazard.capitalize()} of {mark.item.tag}", back=back,
        caution=f"{said} {CARE.get(mark.hazard, '')} {LOCAL}".strip(),
    )  # fmt: skip
