"""Forms of sales and their lots."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.holdings.forms.facts import CurrencyField
from inventory.holdings.forms.wants import PriceField
from inventory.house.form_fields import DayField, picker
from inventory.valuation.models import LotSale, SaleLot

KEPT = "sale"  # before the fields of the kept sale, where those of the paper stand beside them


class KeepSaleForm(forms.ModelForm):
    """What a proposed list is kept as."""

    class Meta:
        model = LotSale
        formfield_callback = picker
        fields = ["name", "on", "venue", "note"]


class SaleForm(forms.ModelForm):
    class Meta:
        model = LotSale
        formfield_callback = picker
        fields = ["name", "on", "venue", "seller", "commission_pct", "note"]


class LotForm(forms.ModelForm):
    reserve = PriceField(required=False, max_digits=14, decimal_places=2, min_value=0)

    class Meta:
        model = SaleLot
        formfield_callback = picker
        fields = ["title", "reserve", "weight", "note"]


class SoldForm(forms.Form):
    """A lot was sold. ``why`` is asked where something that belongs with it stays, or counts on it."""

    price = PriceField(max_digits=14, decimal_places=2, min_value=0, label="sold for, all of it")
    currency = CurrencyField(label="currency", help_text="Three letters.")
    on = DayField(label="on")
    venue = forms.CharField(max_length=80, required=False, label="where", help_text="Without amounts.")
    why = forms.CharField(
        max_length=60, required=False, label="why it goes all the same",
        help_text="Only where something that belongs with it stays behind, counts on it or was promised.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["currency"].required = True


class SoldRightForm(forms.Form):
    """What a lot was sold for and where, put right."""

    price = PriceField(max_digits=14, decimal_places=2, min_value=Decimal("0.01"), label="sold for, all of it")
    currency = CurrencyField(label="currency", help_text="Three letters.")
    venue = forms.CharField(max_length=80, required=False, label="where", help_text="Without amounts.")

    def __init__(self, data: Any, instance: SaleLot) -> None:
        self.instance = instance
        start = {"price": instance.sold_for, "currency": instance.sold_currency, "venue": instance.venue}
        super().__init__(data, initial=start)
        self.fields["currency"].required = True


class EndForm(forms.Form):
    """A lot found no buyer, or was taken back."""

    state = forms.ChoiceField(
        choices=[(SaleLot.UNSOLD, "not sold"), (SaleLot.WITHDRAWN, "withdrawn")], label="what became of it"
    )
    on = DayField(label="on")
    why = forms.CharField(max_length=200, required=False, label="note")
