"""Forms for part lots."""

from typing import Any

from django import forms

from inventory.holdings.models import PartLot, PartType, Place
from inventory.holdings.rules.part_kinds import read_value, show_value
from inventory.holdings.rules.part_text import LONGEST
from inventory.house.form_fields import picker
from tubes.rules.units import UnitFault

MOST_OF_A_LOT = 999_999


class PartLotForm(forms.ModelForm):
    quantity = forms.IntegerField(
        min_value=0, max_value=MOST_OF_A_LOT, required=False,
        help_text="Counted. Not counted: say at least or at most below; all three empty is not known, which is not "
        "zero.",
    )  # fmt: skip

    field_order = ["name", "value", "type", "serial", "maker", "quantity"]

    class Meta:
        model = PartLot
        formfield_callback = picker
        fields = ["name", "value", "type", "serial", "maker", "least", "most", "to_count", "duds", "condition", "note"]
        labels = {
            "type": "kind of part, by its figures",
            "least": "quantity, or at least",
            "most": "at most, if that is more",
        }
        help_texts = {
            "type": "By it plans and the search for a replacement find the lot. Left empty on a new lot: read from "
            "its words, where they state value and unit in full. None of them fits: add one to the kinds of parts.",
            "least": "Only where nobody counted them: 12 to 15, or 25 and more.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lot = self.instance
        if lot.pk and lot.least is not None and lot.least == lot.most:
            self.initial.update(quantity=lot.least, least=None, most=None)

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        least, most, counted = cells.get("least"), cells.get("most"), cells.get("quantity")
        if counted is not None:
            if {least, most} - {None, counted}:
                self.add_error("quantity", f"{counted}, and at least or at most says otherwise: leave those two empty.")
            cells["least"] = cells["most"] = least = most = counted
        if least is not None and most is not None and least > most:
            self.add_error("most", f"At least {least}, at most {most}: turn the two round, or leave one empty.")
        return cells


class NewPartLotForm(PartLotForm):
    place = forms.ModelChoiceField(Place.objects.all(), required=False)
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")

    field_order = [
        "name", "value", "type", "serial", "maker", "quantity", "least", "most", "to_count", "duds", "place", "tag",
    ]  # fmt: skip


class PartTypeForm(forms.ModelForm):
    """A kind of part by its figures, each with its unit."""

    value_text = forms.CharField(
        max_length=40, required=False, label="value",
        help_text="With its unit: 0.01 mfd, 250 mmf, 5 jar, 270 K, 1 Meg, 2.5 mH, 3600 kc; "
        "of a fuse in A, of a lamp in V.",
    )  # fmt: skip

    class Meta:
        model = PartType
        formfield_callback = picker
        fields = [
            "kind", "tolerance_pct", "volts", "watts", "amps", "construction", "mounting", "safety_class", "marking",
            "words",
        ]  # fmt: skip
        labels = {"kind": "sort of part"}

    field_order = ["kind", "value_text"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["value_text"].initial = show_value(self.instance.kind, self.instance.value)

    def clean_safety_class(self) -> str:
        return str(self.cleaned_data["safety_class"]).upper()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "kind" in cleaned:
            try:
                self.instance.value = read_value(cleaned["kind"], cleaned.get("value_text", ""))
            except UnitFault as fault:
                self.add_error("value_text", str(fault))
        return cleaned


class FindPartForm(forms.Form):
    part = forms.CharField(
        max_length=LONGEST, label="the part, and where it sits",
        help_text="Value with its unit, ratings, tolerance, place: 0.01 mfd 400 V bypass; 270 K 1 W 10 %; "
        "250 mmf 500 V tuned circuit; 0.1 mfd 250 V across the mains.",
    )  # fmt: skip
