"""Forms of price evidence and of valuations."""

from datetime import date
from typing import Any

from django import forms

from inventory.holdings.forms.facts import DATE_ORDERS, CurrencyField
from inventory.holdings.forms.wants import PriceField
from inventory.holdings.models import Place
from inventory.house.form_fields import DayField, KeyChoice, picker
from inventory.pairing.models import CompanionKind
from inventory.valuation.models import Appraisal, PriceEvidence
from inventory.valuation.queries.appraisals import appraisals
from inventory.valuation.rules.bases import BASES, FAIR_MARKET
from inventory.valuation.rules.evidence import MARKS
from inventory.valuation.rules.one_line import EXAMPLE
from inventory.valuation.rules.words import GRADES
from tubes.forms import TypeField

MOST_OF_NOTE = 60  # letters of a note in a choice
USUAL = "EUR"  # the currency of an answer, where none is asked for


class LineForm(forms.Form):
    """A sale in one line. ``shown``: the line whose reading was shown before this was sent."""

    line = forms.CharField(
        max_length=600, label="the sale in one line",
        help_text=f"Day, what, grade, sold or asking, venue, price; then in any order premium (18%), postage. "
        f"Source and note behind semicolons. For example: <span class='stamp'>{EXAMPLE}</span>",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "enterkeyhint": "go"}),
    )  # fmt: skip
    order = forms.ChoiceField(choices=DATE_ORDERS, required=False, label="a date such as 04/05/2026 means")
    besides = forms.BooleanField(required=False, label="another sale, though one that looks the same is there")
    shown = forms.CharField(required=False, widget=forms.HiddenInput)


class EvidenceForm(forms.ModelForm):
    type = TypeField(
        label="tube type",
        help_text="Leave empty: what is written above is read as a stamp. Fill it where that has two meanings.",
    )
    currency = CurrencyField(label="currency", help_text="Three letters, such as USD.")
    amount = PriceField(
        max_digits=14, decimal_places=4, label="amount for all of them",
        help_text="Before the buyer's premium and before postage.",
    )  # fmt: skip
    premium_pct = PriceField(
        required=False, max_digits=7, decimal_places=4, label="buyer's premium, %",
        help_text="Of an auction, where it is not in the amount; it belongs to the price.",
    )  # fmt: skip
    postage = PriceField(
        required=False, max_digits=14, decimal_places=4, help_text="For all of them; no part of the price."
    )
    besides = forms.BooleanField(required=False, label="another sale, though one that looks the same is there")

    class Meta:
        model = PriceEvidence
        formfield_callback = picker
        fields = [
            "on", "designation", "type", "set_model", "unit_model", "companion_kind", "grade", "kind", "venue",
            "amount", "currency", "quantity", "premium_pct", "postage", "arms_length", "source", "by_whom",
            "note", "besides",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["currency"].required = True
        kinds = CompanionKind.objects.select_related("set_model")
        self.fields["companion_kind"].queryset = kinds  # type: ignore[attr-defined]
        for name in ("amount", "premium_pct", "postage"):
            if (kept := self.initial.get(name)) is not None:
                self.initial[name] = f"{kept.normalize():f}"  # 25, not 25.0000
        if self.instance.pk:
            del self.fields["besides"]


class ValueForm(forms.Form):
    """How and when the collection is valued; what is left out is as usual."""

    basis = forms.ChoiceField(choices=[(one.key, one.title) for one in BASES.values()], required=False)
    on = DayField(required=False, label="valuation date", help_text="Nothing later counts. Empty: today.")
    currency = CurrencyField(
        label="currency", help_text="Three letters, such as EUR. Empty: that of most of your own prices."
    )  # fmt: skip
    place = KeyChoice(Place.objects.all(), required=False, label="only what is in", empty_label="everything owned")
    real = forms.BooleanField(
        required=False, label="in prices of the valuation date, by U.S. CPI-U",
        help_text="The general level of prices, which is not that of old equipment.",
    )  # fmt: skip

    def asked(self, today: date, currency: str = USUAL) -> dict[str, Any]:
        """What ``queries.collection.collection`` is asked for. Only of a valid form. ``currency``: where none is."""
        cells = self.cleaned_data
        return {
            "currency": cells["currency"] or currency, "on": cells["on"] or today,
            "basis": cells["basis"] or FAIR_MARKET,
            "real": cells["real"], "place": cells["place"].path if cells["place"] else "",
        }  # fmt: skip


class EstimateForm(ValueForm):
    """What one thing is worth."""

    of = forms.CharField(
        max_length=80, label="what",
        help_text="A tube type by any of its numbers, a model of set or plug-in unit, or a mark that evidence bears.",
    )  # fmt: skip
    grade = forms.ChoiceField(choices=[("", "the commonest"), *((one, one) for one in GRADES)], required=False)
    mark = forms.ChoiceField(choices=[("", "as it is named"), *((one, one) for one in MARKS)], required=False)
    place = None  # type: ignore[assignment]
    field_order = ("of", "grade", "mark")

    def asked(self, today: date, currency: str = USUAL) -> dict[str, Any]:
        """What ``queries.estimates.estimate`` is asked for, beside the text itself."""
        cells = self.cleaned_data
        asked = {
            "currency": cells["currency"] or currency, "on": cells["on"] or today,
            "basis": cells["basis"] or FAIR_MARKET,
        }  # fmt: skip
        return asked | {"real": cells["real"], "grade": cells["grade"], "mark": cells["mark"]}


class KeepForm(forms.Form):
    note = forms.CharField(max_length=2000, required=False, label="note", help_text="For whom, and why now.")


class AppraisalChoice(KeyChoice):
    """One appraisal; those of one day are told apart by number, place and the beginning of the note."""

    def label_from_instance(self, obj: Any) -> str:
        note = " ".join(obj.note.split())
        begun = note if len(note) <= MOST_OF_NOTE else f"{note[: MOST_OF_NOTE - 1].rstrip()}…"
        return f"{obj}: {begun}" if note else str(obj)


class BesideForm(forms.Form):
    """Two appraisals beside each other."""

    then = AppraisalChoice(Appraisal.objects.none(), label="from")
    now = AppraisalChoice(Appraisal.objects.none(), label="to")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("then", "now"):
            self.fields[name].queryset = appraisals()  # type: ignore[attr-defined]
