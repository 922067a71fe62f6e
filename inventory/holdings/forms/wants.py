"""Forms of the want list."""

import re
from typing import Any

from django import forms

from inventory.holdings.forms.facts import CurrencyField
from inventory.holdings.models import Want
from inventory.house.form_fields import picker
from tubes.forms import TypeField


class PriceField(forms.DecimalField):
    """A price in figures: ``12.50`` or ``12,50``. What may be thousands is asked about, not guessed."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip()
        if re.fullmatch(r"[1-9][0-9]{0,2}(?:[.,][0-9]{3})+(?:[.,][0-9]{1,2})?", text):
            raise forms.ValidationError(f"{text} can be read two ways; write it without a sign for the thousands.")
        if text and not re.fullmatch(r"-?[0-9]*[.,]?[0-9]+", text):
            raise forms.ValidationError("Write the price in figures, such as 12.50.")
        return super().to_python(text.replace(",", "."))


class WantForm(forms.ModelForm):
    top_price = PriceField(
        label="top price each", required=False, max_digits=12, decimal_places=2, help_text="Empty: none is set."
    )
    type = TypeField(
        label="tube type",
        help_text="Leave empty: what is written above is read as a stamp. Fill it where that has two meanings.",
    )
    currency = CurrencyField(label="currency", help_text="Three letters, such as USD. Nothing is converted.")

    besides = forms.BooleanField(
        required=False,
        label="a line of its own, beside the one that is there",
        help_text="Only for what is on the list already and wanted for something else, too.",
    )

    class Meta:
        model = Want
        formfield_callback = picker
        fields = ["thing", "type", "quantity", "top_price", "currency", "purpose", "since", "note"]


class SettleForm(forms.Form):
    why = forms.CharField(max_length=200, label="why", help_text="Bought, given, no longer needed.")

    def clean_why(self) -> Any:
        return self.cleaned_data["why"].strip()
