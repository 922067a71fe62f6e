"""The null finder."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from inventory.house.access import needs
from inventory.pairing.forms import ReadingsForm, rows_in_words
from inventory.pairing.models import Neutralization
from inventory.pairing.rules.kept_null import readings_of
from inventory.pairing.rules.null import CAUTIONS, NullAnswer, find_null
from inventory.pairing.rules.null_fit import NullRefused
from inventory.pairing.rules.null_next import suggest_next
from inventory.pairing.wording.charts import null_charts, readings_beside

CAUTION = (
    "Between readings: plate supply off, discharged and proved dead before touching the control, unless it is built "
    "for live use. Drive on means RF on grid leads and tank. Local codes and licensed practice come first."
)

MOST_SHOWN = 200  # readings of an answer that is kept as an address


@needs("view", "pairing.neutralization")
def null_finder(request: HttpRequest) -> HttpResponse:
    """Works by GET, so that an answer can be kept as an address and nothing is changed by reading."""
    asked = {name: value for name in ReadingsForm.base_fields if (value := request.GET.get(name))}
    form = ReadingsForm(asked if {"readings", *ReadingsForm.NEXT} & set(request.GET) else None)
    context: dict[str, Any] = {"form": form, "cautions": CAUTIONS, "caution": CAUTION}
    status = 200
    if form.is_bound and form.is_valid() and len(form.cleaned_data["readings"]) > MOST_SHOWN:
        form.add_error("readings", f"At most {MOST_SHOWN} here; for more there is manage.py find_null FILE.csv.")
        status = 422
    elif form.is_bound and form.is_valid():
        if form.added:
            return redirect(_address(request, "pairing:null-finder", form.cleaned_data))
        context |= _answer(request, form.cleaned_data)
        status = 422 if context["refused"] else 200
    elif form.is_bound:
        status = 422
    following = context.get("following")
    context["next_setting"] = "" if following is None else f"{following:g}"
    cells = form.cleaned_data if form.is_bound and form.is_valid() else {}
    context["ends_lacking"] = None in (cells.get("low"), cells.get("high"))
    return render(request, "pairing/null_finder.html", context, status=status)


def _answer(request: HttpRequest, cells: dict[str, Any]) -> dict[str, Any]:
    """What the readings say, where to read next, or why they say nothing."""
    readings, dial = readings_of(cells["readings"]), (cells["scale"], cells["low"], cells["high"])
    found: dict[str, Any] = {"following": None, "refused": "", "readings": readings_beside(None, readings)}
    found["shows"] = dict(Neutralization.INDICATORS).get(cells["scale"], cells["scale"])
    try:
        found["following"] = suggest_next(readings, *dial)
        answer = find_null(readings, *dial)
    except NullRefused as reason:
        found["refused"] = f"{reason}."
        return found
    found |= {
        "fit": answer,
        "charts": null_charts(answer, readings),
        "readings": readings_beside(answer, readings),
    }
    if answer.inside and not answer.dead and not _off_dial(cells, answer):
        found["save"] = _address(request, "pairing:neutralize", _to_record(cells, answer))
    return found


def _off_dial(cells: dict[str, Any], answer: NullAnswer) -> bool:
    low, high = cells["low"], cells["high"]
    return (low is not None and answer.setting < low) or (high is not None and answer.setting > high)


def _to_record(cells: dict[str, Any], answer: NullAnswer) -> dict[str, Any]:
    """What the form of a neutralization begins with; the null itself is found again from the readings there.

    The reading at the null is what was read at that very setting, if it was: the curve's own figure is none.
    """
    low, high = cells["low"], cells["high"]
    setting = f"{answer.setting:.4g}"
    seen = [row[1] for row in cells["readings"] if f"{row[0]:.4g}" == setting]
    return {
        "setting": setting,
        "null_reading": f"{seen[-1]:g}" if seen else "",
        "dial_scale": "" if None in (low, high) else f"{low:g} to {high:g}",
        "readings": cells["readings"],
        "indicator": cells["scale"],
    }


def _address(request: HttpRequest, name: str, cells: dict[str, Any]) -> str:
    """The address of a page with the pair that is asked about, readings written one way, and what else is not empty."""
    told = {side: request.GET.get(side) for side in ("chassis", "unit")} | cells
    told = told | {"readings": rows_in_words(cells["readings"]), "at": "", "reads": ""}
    kept = {key: f"{value:g}" if isinstance(value, float) else value for key, value in told.items()}
    return f"{reverse(name)}?{urlencode({key: value for key, value in kept.items() if value not in ('', None)})}"
