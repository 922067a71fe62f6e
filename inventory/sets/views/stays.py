"""What fittings and seatings have in common: the caution of the bench, and the form that corrects their dates."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from inventory.holdings.models import Item, Place
from inventory.house.records.pages import ASKED, correct_page, reason_in
from inventory.sets.actions import correct_stay

BENCH_CAUTION = (
    "Plate supply off, discharged and proved dead before a hand goes in; mercury rectifiers stay upright; hot glass. "
    "Local codes and licensed practice come first."
)


def later_move(item: Item, place: Place | None) -> str:
    """What to say of a thing just taken out to a place, where a later move had led elsewhere; empty where none had."""
    item.refresh_from_db()
    return "" if item.place == place else f" A later move of {item.tag} stands: it is in {item.place or 'no place'}."


def stay_correct(request: HttpRequest, stay: Any, form_class: Any, heading: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        moves = correct_stay(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        told = f"Corrected; what it said before stays in its history. {moves}".strip()
        return told, stay.chassis.get_absolute_url()

    def make(data: Any) -> Any:
        return form_class(data, instance=stay)

    return correct_page(
        request, stay, make, save, why=ASKED, heading=heading, act="Correct", back=stay.chassis.get_absolute_url()
    )
