"""Forms of the record of a thing: how it came, how it was found, how it left."""

from typing import Any

from django import forms

from inventory.holdings.forms.facts import DATE_ORDERS
from inventory.holdings.models import ConditionCheck
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.house.form_fields import DayField, Folded, picker

HOW_IT_CAME = "Bought, given, exchanged, found with another thing, built here; then what more there is to say."
PROOF = "What shows that it is ours: a bill, a letter of the giver, an entry in a ledger; and where it is kept."


class CameForm(Folded, forms.Form):
    """How a thing came. ``seen``: the state of what was shown."""

    FOLDED = ("order", "why")
    FOLDED_AS = "A date that can be read in two ways; why it is changed"

    how = forms.CharField(max_length=120, required=False, label="how it came", help_text=HOW_IT_CAME)
    when = forms.CharField(
        max_length=60, required=False, label="when", help_text="A day, a month, a year, about 1975, before 1990."
    )
    source = forms.CharField(max_length=120, required=False, label="from whom")
    title = forms.CharField(max_length=300, required=False, label="evidence of title", help_text=PROOF)
    order = forms.ChoiceField(choices=DATE_ORDERS, required=False, label="a date such as 04/05/06 means")
    why = forms.CharField(max_length=100, required=False, label="why it is changed")
    seen = forms.CharField(required=False, widget=forms.HiddenInput)


class DisposalForm(Folded, forms.Form):
    """Why a thing left, on whose word, to whom, for how much. ``seen``: the state of what was shown."""

    FOLDED: tuple[str, ...] = ("why",)
    FOLDED_AS = "Why it is changed"

    reason = forms.CharField(max_length=300, required=False, label="why it leaves the collection")
    authority = forms.CharField(
        max_length=120, required=False, label="on whose word", help_text="Who decided it, and where that is written."
    )
    recipient = forms.CharField(max_length=120, required=False, label="to whom")
    proceeds = forms.CharField(
        max_length=60, required=False, label="for how much", help_text="With the currency: 30 USD. Empty for nothing."
    )
    why = forms.CharField(max_length=100, required=False, label="why it is changed")
    seen = forms.CharField(required=False, widget=forms.HiddenInput)


class ConditionForm(Folded, forms.ModelForm):
    FOLDED = ("complete", "lacking", "hazard", "at", "note")
    FOLDED_AS = "Complete or not, a hazard that was seen, the time, a note"

    class Meta:
        model = ConditionCheck
        formfield_callback = picker
        fields = ["state", "by_whom", "on", "look_again", "complete", "lacking", "hazard", "at", "note"]
        labels = {"by_whom": "who looked"}
        widgets = {"state": forms.Textarea(attrs={"rows": 3}), "note": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: Any = self.fields
        fields["complete"].choices = [("", "nobody said"), *ConditionCheck.COMPLETENESS]
        fields["hazard"].choices = [("", "none that was noticed"), *mark_choices()]
        fields["by_whom"].required = True
        fields["look_again"].required = False


class PartWithForm(Folded, forms.Form):
    """How a thing leaves; why, on whose word, to whom and for how much are folded away."""

    FOLDED = ("reason", "authority", "recipient", "proceeds")
    FOLDED_AS = "The record of it: why, on whose word, to whom, for how much"

    on = DayField(label="date")
    how = forms.CharField(
        max_length=200, label="how it leaves", help_text="Sold, given, exchanged, scrapped because …, lost."
    )
    reason = DisposalForm.base_fields["reason"]
    authority = DisposalForm.base_fields["authority"]
    recipient = DisposalForm.base_fields["recipient"]
    proceeds = DisposalForm.base_fields["proceeds"]
