"""Forms for facts of a thing."""

from typing import Any

from django import forms

from inventory.holdings.rules.dates import DAY_FIRST, MONTH_FIRST
from inventory.holdings.rules.facts import ABOUT, LEFT_BY, LEFT_TO, LEFT_WHY, PROCEEDS
from inventory.house.currencies import currency_refused
from inventory.house.form_fields import DayField, Folded

DATE_ORDERS = [("", "not said"), (DAY_FIRST, "day first: 4 May"), (MONTH_FIRST, "month first: 5 April")]
OF_LEAVING = (LEFT_WHY, LEFT_BY, LEFT_TO, PROCEEDS)  # said on the page of how a thing left
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


class FactForm(Folded, forms.Form):
    """Something that stands on the carton, the tag, the bill or in a letter."""

    FOLDED = ("basis", "dated", "order")
    FOLDED_AS = "Of an insured value: what it rests on, and its day; a date that can be read in two ways"

    about = forms.ChoiceField(choices=[one for one in ABOUT if one[0] not in OF_LEAVING], label="what it is")
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
    basis = forms.CharField(
        max_length=120, required=False, label="what an insured value rests on",
        help_text="Replacement, market value, agreed with the insurer, an appraisal. Needed of such a value.",
    )  # fmt: skip
    dated = DayField(required=False, label="of which day an insured value is")
    as_found = forms.BooleanField(required=False, label="keep it as found, even if it cannot be read")
