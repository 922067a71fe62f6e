"""Forms for part lots."""

from typing import Any

from django import forms

from inventory.holdings.models import PartLot, Place
from inventory.house.form_fields import picker


class PartLotForm(forms.ModelForm):
    class Meta:
        model = PartLot
        formfield_callback = picker
        fields = ["name", "value", "type", "maker", "least", "most", "to_count", "duds", "condition", "note"]
        help_texts = {
            "type": "By it plans find the lot. None of them fits: add one to the kinds of parts, under Restorations.",
            "least": "Counted: the same figure in both. Not known: leave both empty, which is not zero.",
        }

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        least, most = cells.get("least"), cells.get("most")
        if least is not None and most is not None and least > most:
            self.add_error("most", f"At least {least}, at most {most}: turn the two round, or leave one empty.")
        return cells


class NewPartLotForm(PartLotForm):
    place = forms.ModelChoiceField(Place.objects.all(), required=False)
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")

    field_order = ["name", "value", "type", "maker", "least", "most", "to_count", "duds", "place", "tag"]
