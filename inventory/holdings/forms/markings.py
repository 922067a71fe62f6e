"""What is asked about a marking."""

from django import forms

from inventory.holdings.rules.markings import LONGEST
from inventory.holdings.wording.markings import KIND_WORDS


class MarkingForm(forms.Form):
    text = forms.CharField(
        max_length=LONGEST, required=False, label="what is marked on it",
        help_text="Colours in their order (yellow violet orange silver; none where there is none), 4K7, 103K,"
        " RC20BF103K, FT-241 channel 45, AWG 22. Six dots: arrows pointing right, top row, then bottom row.",
    )  # fmt: skip
    kind = forms.ChoiceField(
        required=False, label="kind of marking", choices=[("", "any: try them all"), *KIND_WORDS.items()]
    )
