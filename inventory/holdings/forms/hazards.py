"""Forms for hazards of a thing."""

from django import forms

from inventory.holdings.models import HazardMark
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.house.form_fields import DayField


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
