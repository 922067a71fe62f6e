"""Forms for the log, for instruments and tests, for matched sets and schedules."""

from collections.abc import Iterable
from typing import Any

from django import forms

from inventory.holdings.forms.tags import ItemTagField
from inventory.holdings.queries import tag_in
from inventory.house.form_fields import DayField, picker
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from inventory.running.queries.matching import PLAIN, REDUCED
from inventory.running.rules.hours_written import HoursRefused, read_hours
from inventory.running.rules.matching import MOST_SIZE
from inventory.sets.forms import TubeTagField
from tubes.forms import TypeField


class HoursField(forms.CharField):
    """Hours as they are written, 2.5, 2,5 or 2:30; cleans to a figure, or None where nothing is written."""

    def __init__(self, *, signed: bool = False, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 40, **kwargs})
        self.signed = signed

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            return read_hours(text, signed=self.signed)
        except HoursRefused as refusal:
            raise forms.ValidationError(str(refusal)) from None

    def prepare_value(self, value: Any) -> Any:
        return f"{value:g}" if isinstance(value, float) and value == float(f"{value:g}") else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)

    def run_validators(self, value: Any) -> None:
        """The length is that of the text, which ``to_python`` has read; the row checks the figure."""


class RunForm(forms.ModelForm):
    hours = HoursField(required=False, label="or hours", help_text="When the times are not known: 2.5, 2,5 or 2:30.")

    class Meta:
        model = Run
        formfield_callback = picker
        fields = ["on", "on_at", "off_at", "off", "hours", "starts", "filament", "by_whom", "note"]
        help_texts = {"off": "Empty: the same day, or the next morning."}


class MeterForm(forms.ModelForm):
    class Meta:
        model = Meter
        formfield_callback = picker
        fields = ["since", "until", "digits", "decimals", "serial", "note"]
        help_texts = {
            "digits": "Count the wheels before the point.",
            "decimals": "Fractions are often in another colour: 1 for tenths, 2 for hundredths.",
        }


class NewMeterForm(MeterForm):
    first_wheels = forms.CharField(max_length=16, required=False, label="it stands at")

    class Meta(MeterForm.Meta):
        fields = ["since", "digits", "decimals", "serial", "note"]


class OtherMeterForm(NewMeterForm):
    last_wheels = forms.CharField(
        max_length=16, required=False, label="the old one stands at", help_text="Empty: it could not be read."
    )
    odd = forms.BooleanField(required=False, label="it truly stands so")
    field_order = ["since", "last_wheels", "first_wheels", "digits", "decimals", "serial", "note", "odd"]


class MeterReadingForm(forms.ModelForm):
    odd = forms.BooleanField(required=False, label="it truly stands so", help_text="Only when you were asked.")

    class Meta:
        model = MeterReading
        formfield_callback = picker
        fields = ["wheels", "on", "at", "starts", "by_whom", "note"]
        widgets = {"wheels": forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})}


class EarlierHoursForm(forms.ModelForm):
    hours = HoursField(required=False, label="filament hours", help_text="As 2.5, 2,5 or 2:30.")

    class Meta:
        model = EarlierHours
        fields = ["standing", "hours", "starts", "reason"]


class HoursCorrectionForm(forms.ModelForm):
    hours = HoursField(
        signed=True,
        required=False,
        label="hours, more or less",
        help_text="Below zero: to take off. As 2.5, 2,5 or 2:30.",
    )  # fmt: skip
    again = forms.BooleanField(
        required=False, label="it comes on top of the one of the same day", help_text="Only when you were asked."
    )

    class Meta:
        model = HoursCorrection
        formfield_callback = picker
        fields = ["on", "hours", "starts", "reason", "by_whom", "note"]
        help_texts = {"starts": "Below zero: to take off."}

    def clean_hours(self) -> float:
        return self.cleaned_data["hours"] or 0.0


class InstrumentForm(forms.ModelForm):
    class Meta:
        model = Instrument
        formfield_callback = picker
        fields = ["name", "makers_kind", "serial", "scale", "calibrated_on", "calibrate_months", "note"]


class TypeMinimumForm(forms.ModelForm):
    type = TypeField(required=True, label="tube type")

    class Meta:
        model = TypeMinimum
        fields = ["type", "section", "minimum", "settings", "source"]


class TubeField(TubeTagField):
    """A tube by its tag, or by the code of its label as a scanner gives it; cleans to the tube."""

    def to_python(self, value: Any) -> Any:
        return super().to_python(tag_in(value or ""))


TEST_FIELDS = [
    "instrument", "section", "shorts", "shorts_words", "reading_text", "minimum_text", "settings", "filament_v",
    "line_set", "gas", "noise", "reduced_v", "reduced_text", "on", "at", "by_whom", "note",
]  # fmt: skip
DECIMAL = {"inputmode": "decimal", "autocomplete": "off"}


class TestForm(forms.ModelForm):
    """One test in full, for the page of one tube and for corrections."""

    __test__ = False  # no test case, whatever its name says

    odd = forms.BooleanField(required=False, label="yes, it truly reads so", help_text="Only when you were asked.")

    class Meta:
        model = TubeTest
        formfield_callback = picker
        fields = TEST_FIELDS
        widgets = {
            "reading_text": forms.TextInput(attrs=DECIMAL),
            "minimum_text": forms.TextInput(attrs=DECIMAL),
            "reduced_text": forms.TextInput(attrs=DECIMAL),
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        help_texts = {"shorts": "First of all: a shorted tube goes no further, and no reading is taken."}


class SessionForm(TestForm):
    """A test session: the tag and the reading change from tube to tube, everything else stays."""

    tube = TubeField(
        label="tag", help_text="Type it, or scan its label: Enter shows the tube. After the reading Enter saves."
    )
    field_order = ["tube", "shorts", "reading_text", "section", "gas", *TEST_FIELDS]

    class Meta(TestForm.Meta):
        help_texts = {"shorts": "First of all: a shorted tube goes no further."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tag = self.fields["tube"].widget
        tag.attrs.update(autocomplete="off", autocapitalize="characters", spellcheck="false", enterkeyhint="next")
        self.fields["shorts"] = forms.ChoiceField(
            choices=[("none", "none"), ("found", "found"), ("", "not done")],
            required=False, label="Shorts or leakage", widget=forms.RadioSelect,
            help_text=self.fields["shorts"].help_text,
        )  # fmt: skip


class CompareForm(forms.Form):
    """Two instruments beside each other on one type."""

    other = forms.ModelChoiceField(Instrument.objects.none(), label="with the instrument")
    type = TypeField(required=True, label="on tubes of the type")

    def __init__(self, *args: Any, instrument: Instrument, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Instrument.objects.exclude(pk=instrument.pk)
        self.fields["other"].queryset = others  # type: ignore[attr-defined]


_READ = {PLAIN: "the reading", REDUCED: "the reading with reduced filament"}
_NOT_READ = "%(value)s was never read of that type on that instrument; choose one of the list."


class MatchForm(forms.Form):
    """What is to be matched, and how closely."""

    type = TypeField(required=True, label="tube type")
    instrument = forms.ModelChoiceField(Instrument.objects.all(), label="read on")
    size = forms.IntegerField(
        min_value=2, max_value=MOST_SIZE, initial=2, label="tubes in a set", help_text="2 for pairs."
    )
    tolerance = forms.FloatField(min_value=0, max_value=100, required=False, label="may differ by, %")
    days = forms.IntegerField(
        min_value=1, max_value=36500, required=False, label="read within, days",
        help_text="Readings far apart in time are not the same state of the instrument. Empty: all.",
    )  # fmt: skip
    first = forms.ChoiceField(
        required=False, label="compared by",
        help_text="Double tubes: section 1 here and section 2 below pairs them by both.",
    )  # fmt: skip
    second = forms.ChoiceField(required=False, label="and by a second reading")
    shelf = forms.BooleanField(required=False, label="only tubes on the shelf")
    doubted = forms.BooleanField(required=False, label="also tubes with gas above its limit, with leakage, or rejected")

    def __init__(self, *args: Any, names: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in ("first", "second"):
            self.fields[field].error_messages["invalid_choice"] = _NOT_READ
        there = [(name, _READ.get(name, f"section {name}")) for name in names]
        self.fields["first"].choices = [("", "its reading, or its first section"), *there]  # type: ignore[attr-defined]
        self.fields["second"].choices = [("", "no"), *there]  # type: ignore[attr-defined]


class SetForm(forms.Form):
    """The day and a note for a matched set; the tubes come with the address."""

    made_on = DayField(label="date")
    tolerance_pct = forms.FloatField(min_value=0, max_value=100, label="tolerance, %")
    by_whom = forms.CharField(max_length=80, required=False, label="by whom")
    note = forms.CharField(max_length=200, required=False)


class SplitForm(forms.Form):
    split_on = DayField(label="date")
    split_why = forms.CharField(max_length=200, label="why")


class SurvivalForm(forms.Form):
    """Whose life: a type, a family of types, or an emitter."""

    type = TypeField(label="tube type")
    same = forms.BooleanField(required=False, label="with all that are the same tube")
    emitter = forms.ChoiceField(required=False, label="or an emitter")
    weak = forms.BooleanField(required=False, label="a weak tube has failed too")
    estimates = forms.BooleanField(
        required=False, label="take in tubes whose earlier hours are estimated",
        help_text="A tube that came used counts from its earlier hours on.",
    )  # fmt: skip

    def __init__(self, *args: Any, emitters: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["emitter"].choices = [("", "any"), *emitters]  # type: ignore[attr-defined]


class CareForm(forms.ModelForm):
    item = ItemTagField(required=False, label="of the thing, by its tag")
    type = TypeField(label="or of all tubes of the type")

    class Meta:
        model = Care
        formfield_callback = picker
        fields = ["work", "words", "item", "type", "every_months", "every_hours", "since", "source", "ended_on"]


class CareDoneForm(forms.ModelForm):
    item = ItemTagField(label="on the thing, by its tag")

    class Meta:
        model = CareDone
        formfield_callback = picker
        fields = ["item", "on", "by_whom", "note"]
