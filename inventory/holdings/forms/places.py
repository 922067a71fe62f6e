"""Forms for places that become one, and for one that goes."""

from typing import Any

from django import forms
from django.db.models import Q

from inventory.holdings.models import Place
from inventory.house.form_fields import DayField


class PlaceMergeForm(forms.Form):
    into = forms.ModelChoiceField(
        Place.objects.none(), label="is the same place as",
        help_text="Everything in it and below lies there then, and its old name still leads there.",
    )  # fmt: skip
    on = DayField(label="date")
    reason = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, place: Place, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        below = Q(pk=place.pk) | Q(path__startswith=f"{place.path} / ")
        self.fields["into"].queryset = Place.objects.exclude(below)  # type: ignore[attr-defined]


class PlaceRemoveForm(forms.Form):
    reason = forms.CharField(max_length=100, label="why", help_text="It stays in the history.")
