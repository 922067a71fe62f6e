"""Forms of the want list."""

from typing import Any

from django import forms

from inventory.holdings.forms.facts import CurrencyField
from inventory.holdings.models import Want
from inventory.house.pages import picker
from tubes.forms import TypeField


class WantForm(forms.ModelForm):
    type = TypeField(
        label="tube type",
        help_text="Leave empty: what is written above is read as a stamp. Fill it where that has two meanings.",
    )
    currency = CurrencyField(label="currency", help_text="Three letters, such as USD. Nothing is converted.")

    class Meta:
        model = Want
        formfield_callback = picker
        fields = ["thing", "type", "quantity", "top_price", "currency", "purpose", "since", "note"]


class SettleForm(forms.Form):
    why = forms.CharField(max_length=200, label="why", help_text="Bought, given, no longer needed.")

    def clean_why(self) -> Any:
        return self.cleaned_data["why"].strip()
