"""The page on which marks of parts are read: by text, or by pictures whose colours are chosen."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.holdings.forms.markings import MarkingForm
from inventory.holdings.queries.markings import marking_tables, read_marking
from inventory.holdings.wording import marking_pictures as drawn
from inventory.holdings.wording import markings as told
from inventory.house.access import needs


@needs("view", "holdings.partlot")
def part_marking(request: HttpRequest) -> HttpResponse:
    """``?text=&kind=``; ``at``: the place of a picture whose colour is to be changed, counted from 0."""
    form = MarkingForm(request.GET or None)
    tables = marking_tables()
    context = {"form": form, "cautions": (("Measure it", told.MEASURE), ("Stored charge", told.CHARGE))}
    text = form.cleaned_data["text"] if form.is_bound and form.is_valid() else ""
    if text:
        kind = form.cleaned_data["kind"] or None
        found = read_marking(text, kind)
        kinds = [kind] if kind else list(dict.fromkeys(one.kind for one in found.readings)) or list(drawn.TITLES)
        at = request.GET.get("at", "")
        context |= {
            "text": text,
            "readings": [told.tell(one, text, tables) for one in found.readings],
            "warnings": found.warnings,
            "pictures": [
                replace(one, said=told.in_one_line(reading for reading in found.readings if reading.kind == one.kind))
                for one in drawn.pictures(text, kinds, int(at) if at.isascii() and at.isdigit() else None, tables)
            ],
        }
    else:
        context["pictures"] = drawn.starting_pictures(tables)
    return render(request, "holdings/marking.html", context, status=422 if form.errors else 200)
