"""The pages that name what of the stock can stand in for a part, and what does the work of parts nobody has."""

from collections import Counter

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.holdings.forms.parts import FindPartForm
from inventory.holdings.queries.replacement import MOST_NAMED, Replacement, find_part
from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.holdings.rules.combining.combine import Combination
from inventory.holdings.rules.part_text import PartTextFault
from inventory.house.access import needs

ON_PAGE = 20


def _different(found: Replacement) -> list[Combination]:
    """The combinations without those that differ by their lots alone, as many as a page shows."""
    alike: dict[str, Combination] = {}
    for one in found.combined.combinations if found.combined else ():
        alike.setdefault(one.words, one)
    return list(alike.values())[:ON_PAGE]


@needs("view", "holdings.partlot")
def find_part_page(request: HttpRequest) -> HttpResponse:
    """``?part=0.01 mfd 400 V bypass``: the answer, or why the text cannot be read (422)."""
    asked = bool(request.GET.get("part", "").strip())
    form = FindPartForm(request.GET if asked else None)
    context: dict[str, object] = {"form": form}
    if asked and form.is_valid():
        try:
            found = find_part(form.cleaned_data["part"], MOST_NAMED)
            together = _different(found)
            often = Counter(word for one in together for word in one.cautions)
            shared = [word for word, times in often.items() if times > 1]
            context |= {"found": found.cut(ON_PAGE), "shared": shared, "combinations": [
                (one, [word for word in one.cautions if word not in shared]) for one in together
            ]}  # fmt: skip
        except PartTextFault as fault:
            form.add_error("part", str(fault))
    return render(request, "holdings/find_part.html", context, status=422 if form.errors else 200)


@needs("view", "holdings.partlot")
def stand_ins_page(request: HttpRequest) -> HttpResponse:
    """Every curated stand-in with what changes, what to mind, and on whose word."""
    return render(request, "holdings/stand_ins.html", {"stand_ins": stand_in_table()})
