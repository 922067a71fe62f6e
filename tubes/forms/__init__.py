"""Forms for the keeper's own rows of tube knowledge."""

from typing import Any

from django import forms

from tubes.models import Designation, Limit, Source, TubeType
from tubes.queries import find_type
from tubes.rules.judge_parts import Conditions
from tubes.rules.units import UnitFault, parse_frequency_kc


class TypeField(forms.CharField):
    """A tube type, typed by its name or by any mark with one meaning; cleans to a TubeType or None."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("help_text", "The type or any of its numbers, for example 6SN7GT or VT-231.")
        super().__init__(**kwargs)
        self.widget.attrs.update(autocomplete="off", autocapitalize="characters", spellcheck="false")

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value) or ""
        if "\0" in text:  # PostgreSQL cannot even be asked for it
            raise forms.ValidationError("It holds a character that no type has; write it again.")
        return find_type(text) if text else None

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return TubeType.objects.get(pk=value).name
        return value.name if isinstance(value, TubeType) else value


class FrequencyField(forms.CharField):
    """A frequency with its unit; cleans to kc or None."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("help_text", "With its unit, for example 3.6 Mc or 3600 kc.")
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_frequency_kc(text)
        except UnitFault as fault:
            raise forms.ValidationError(str(fault)) from fault

    def prepare_value(self, value: Any) -> Any:
        return f"{value:g} kc" if isinstance(value, float) else value


class TypeForm(forms.ModelForm):
    class Meta:
        model = TubeType
        fields = ["name", "hazard"]


class SourceForm(forms.ModelForm):
    class Meta:
        model = Source
        fields = ["key", "title", "publisher", "year", "location", "read_at"]


class DesignationForm(forms.ModelForm):
    source = forms.ModelChoiceField(Source.objects.order_by("title"), label="text it rests on")

    class Meta:
        model = Designation
        fields = ["scheme", "designation", "relation", "note", "source"]
        help_texts = {
            "designation": "As stamped or printed.",
            "relation": "same: one tube. ruggedized: may stand in for the type. variant, near: say what differs. "
            "refuted: the row of the tables is not so.",
            "note": "Begin with 'unchecked:' for a lead that must not count as an equivalent. Where one must not stand "
            "for the other, write 'never plug one for the other' and why: the judge then says unsuitable.",
        }


def _given(label: str) -> forms.FloatField:
    return forms.FloatField(label=label, required=False, min_value=1e-6, max_value=1e6)


class ConditionsForm(forms.Form):
    """What a place gives; what is left empty is assumed: the wanted type's own rated value."""

    series_heater = forms.BooleanField(required=False, label="heaters in series")
    supply_v = _given("heater supply, V")
    string_a = _given("current of a series string, A")
    budget_a = _given("heater current to be had in parallel, A")
    plate_v = _given("plate voltage, V")
    plate_w = _given("plate dissipation, W")
    screen_v = _given("screen voltage, V")
    screen_w = _given("screen dissipation, W")
    output_ma = _given("dc output of a rectifier, mA")
    frequency = FrequencyField(label="frequency")
    neutralized = forms.BooleanField(required=False, label="neutralized there")
    tuned = forms.BooleanField(required=False, label="tuned circuits there")
    switched_together = forms.BooleanField(required=False, label="plate and filament are switched together")
    on_side = forms.BooleanField(required=False, label="tubes do not stand upright there")
    gain_controlled = forms.NullBooleanField(required=False, label="gain is controlled there (AVC or by hand)")

    def conditions(self) -> Conditions:
        """The conditions that a valid form states."""
        cells = self.cleaned_data
        kc = cells["frequency"]
        return Conditions(
            series=cells["series_heater"],
            supply_v=cells["supply_v"],
            string_a=cells["string_a"],
            budget_a=cells["budget_a"],
            plate_v=cells["plate_v"],
            plate_w=cells["plate_w"],
            screen_v=cells["screen_v"],
            screen_w=cells["screen_w"],
            output_ma=cells["output_ma"],
            frequency_mhz=None if kc is None else kc / 1000,
            neutralized=cells["neutralized"],
            tuned=cells["tuned"],
            switched_together=cells["switched_together"],
            on_side=cells["on_side"],
            gain_controlled=cells["gain_controlled"],
        )


class LimitForm(forms.ModelForm):
    source = forms.ModelChoiceField(Source.objects.all(), help_text="A text of your own: add it under Texts first.")

    class Meta:
        model = Limit
        fields = ["value", "source"]
