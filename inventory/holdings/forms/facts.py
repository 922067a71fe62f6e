"""Forms for facts of a thing."""

from typing import Any

from django import forms

from inventory.holdings.rules.dates import DAY_FIRST, MONTH_FIRST
from inventory.holdings.rules.facts import ABOUT
from inventory.house.currencies import currency_refused

DATE_ORDERS = [("", "not said"), (DAY_FIRST, "day first: 4 May"), (MONTH_FIRST, "month first: 5 April")]
UNITS = ("micromho", "mA/V", "mS", "uS", "mmho", "mA", "V", "W", "%")


class CurrencyField(forms.RegexField):
    """A currency code of ISO 4217, also a former one, or nothing; cleans to capitals."""

    def __init__(self, **kwargs: Any) -> None:
        errors = {"invalid": "Three letters such as USD."}
        super().__init__(r"^[A-Za-z]{3}$", required=False, max_length=3, strip=True, error_messages=errors, **kwargs)

    def clean(self, value: Any) -> str:
        code = str(super().clean(value)).upper()
        if refused := currency_refused(code):
            raise forms.ValidationError(refused)
        return code


class FactForm(forms.Form):
    """Something that stands on the carton, the tag, the bill or in a letter."""

    about = forms.ChoiceField(choices=ABOUT, label="what it is")
    text = forms.CharField(
        max_length=300, label="as found",
        help_text="As it stands there, digit for digit: 2250/1200 micromho, 12,50 EUR, Aug '07, about 1960, 75 lb.",
    )  # fmt: skip
    instrument = forms.CharField(
        max_length=120, required=False, label="instrument",
        help_text="The tester of a reading, by the name that tells it from others. Readings of two never mix.",
    )  # fmt: skip
    unit = forms.ChoiceField(
        choices=[("", "as the text says, or the instrument's own scale"), *((unit, unit) for unit in UNITS)],
        required=False, label="unit of a reading",
    )  # fmt: skip
    currency = CurrencyField(
        label="currency of a price",
        help_text="Three letters, where the text does not say it: USD, GBP, DEM. Nothing is converted.",
    )
    order = forms.ChoiceField(choices=DATE_ORDERS, required=False, label="a date such as 04/05/06 means")
    as_found = forms.BooleanField(required=False, label="keep it as found, even if it cannot be read")
