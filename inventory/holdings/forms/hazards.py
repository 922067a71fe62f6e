"""Forms for hazards of a thing."""

from typing import Any

from django import forms

from inventory.holdings.models import HazardCheck, HazardMark, Item
from inventory.holdings.queries import things_named
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.holdings.rules.tag_runs import with_runs
from inventory.house.form_fields import DayField, picker


class HazardForm(forms.Form):
    """The standing of one hazard."""

    standing = forms.ChoiceField(choices=HazardMark.STANDINGS, widget=forms.RadioSelect)
    reason = forms.CharField(
        max_length=200, required=False, label="reason",
        help_text="Where it sits, or how it was looked for: words on the part, counter reading, maker's list.",
    )  # fmt: skip
    on = DayField(label="date")
    by_whom = forms.CharField(max_length=80, required=False, label="by whom")


class HazardsForm(HazardForm):
    """One or several hazards of a thing at once."""

    hazards = forms.MultipleChoiceField(choices=mark_choices, widget=forms.CheckboxSelectMultiple)

    field_order = ["hazards"]


class CheckForm(forms.ModelForm):
    """That somebody looked and found none."""

    class Meta:
        model = HazardCheck
        formfield_callback = picker
        fields = ["hazard", "how", "on", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        looked_for: Any = self.fields["hazard"]
        looked_for.choices = [("", "every kind of hazard"), *mark_choices()]


class CheckOfPlaceForm(CheckForm):
    with_bearing = forms.BooleanField(
        required=False, label="also what bears such a hazard on record or by a rule",
        help_text="Else it is left out and named: it is settled by itself. Where it is taken in, both are told.",
    )  # fmt: skip


class CorrectCheckForm(CheckForm):
    without = forms.CharField(
        required=False, max_length=2000, label="not these things",
        help_text="Tags of things that were not looked at after all: T-0003, T-0007..T-0012.",
    )  # fmt: skip

    def clean_without(self) -> list[Item]:
        try:
            found, unknown = things_named(with_runs(self.cleaned_data["without"]))
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault
        if unknown:
            raise forms.ValidationError(f"No tags of the register: {', '.join(unknown[:8])}.")
        return found
