"""Companions on a page of their own, and mated sets: crystals of a net, a meter and its thermocouple."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.pairing.actions import save_mated_part, save_mated_set
from inventory.pairing.forms import MatedPartForm, MatedSetForm
from inventory.pairing.queries import COMPANION, PairFilter, mated_sets, pairing_table
from inventory.pairing.rules.companions import COMPANION_STATES, MATCHED
from inventory.sets.models import MatedPart, MatedSet

STATE_WORDS = {
    "not matched": "Belongs to another",
    "mate missing": "Mate missing",
    "unknown": "Mate not known",
    "matched": "With their mates",
}


@needs("view", "pairing.companion")
def companion_list(request: HttpRequest) -> HttpResponse:
    """Every companion and mated set by its state, what is to be settled first."""
    today = timezone.localdate()
    rows = pairing_table(today, PairFilter(kinds=(COMPANION,)))
    mated_all = mated_sets(today)
    pieces = [(mated, row) for mated in mated_all for row in mated.rows]
    groups = [
        (
            state,
            STATE_WORDS[state],
            [row for row in rows if row.state == state],
            [(mated, row) for mated, row in pieces if row.state == state],
        )
        for state in COMPANION_STATES
    ]
    context = {
        "groups": groups,
        "mated": mated_all,
        "matched": MATCHED,
        "counts": [(state, len(one) + len(two)) for state, _, one, two in groups],
    }
    return render(request, "pairing/companions.html", context)


@needs("view", "sets.matedset")
def mated_page(request: HttpRequest, pk: int) -> HttpResponse:
    one = get_object_or_404(MatedSet, pk=pk)
    (mated,) = mated_sets(timezone.localdate(), [pk])
    context = {"mated": mated, "changes": changes_of(one, *(row.part for row in mated.rows))}
    return render(request, "pairing/mated.html", context)


def _set_form(request: HttpRequest, row: MatedSet, heading: str, back: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        saved = save_mated_set(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{saved} written.", reverse("pairing:mated", args=[saved.pk])

    return correct_page(
        request, row, lambda data: MatedSetForm(data, instance=row), save, why=WELCOME, heading=heading, back=back
    )


@needs("add", "sets.matedset")
def mated_add(request: HttpRequest) -> HttpResponse:
    return _set_form(request, MatedSet(), "Add things that belong together", reverse("pairing:companion-list"))


@needs("change", "sets.matedset")
def mated_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(MatedSet, pk=pk)
    return _set_form(request, row, f"Change {row}", reverse("pairing:mated", args=[pk]))


def _part_form(request: HttpRequest, row: MatedPart, heading: str) -> HttpResponse:
    back = reverse("pairing:mated", args=[row.mated_set_id])

    def save(form: Any) -> tuple[str, str]:
        saved = save_mated_part(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{saved} written.", back

    return correct_page(
        request, row, lambda data: MatedPartForm(data, instance=row), save, why=WELCOME, heading=heading, back=back
    )


@needs("add", "sets.matedpart")
def mated_part_add(request: HttpRequest, pk: int) -> HttpResponse:
    row = MatedPart(mated_set=get_object_or_404(MatedSet, pk=pk))
    return _part_form(request, row, f"A piece of {row.mated_set}")


@needs("change", "sets.matedpart")
def mated_part_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(MatedPart.objects.select_related("mated_set", "item"), pk=pk)
    return _part_form(request, row, f"{row}")
