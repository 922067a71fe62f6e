"""Forms for the ledger and for companions."""

from typing import Any

from django import forms

from inventory.holdings.models import Place
from inventory.house.pages import picker
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind, Disturbance, Neutralization
from inventory.pairing.queries import ALL_STATES
from inventory.sets.forms import ThingField
from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries import chassis_here, units_here
from tubes.rules.units import UnitFault, parse_frequency_kc


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


class PairingFilterForm(forms.Form):
    """What the pairing table can be narrowed by."""

    chassis = forms.CharField(required=False, label="Chassis: serial, tag or words of the model")
    unit = forms.CharField(required=False, label="Unit: serial, tag or words of the model")
    state = forms.MultipleChoiceField(
        choices=[(s, s) for s in ALL_STATES], required=False, label="State", widget=forms.CheckboxSelectMultiple
    )
    frequency = FrequencyField(label="Covers")
    on = forms.DateField(required=False, label="On the day", widget=forms.DateInput(attrs={"type": "date"}))


def _named(queryset: Any, label: str, required: bool = True) -> Any:
    return ThingField(queryset, label=label, required=required)


class NeutralizationForm(forms.ModelForm):
    chassis = _named(Chassis.objects.none(), "chassis")
    unit = _named(Chassis.objects.none(), "plug-in unit")
    frequency_kc = FrequencyField(label="frequency used")

    class Meta:
        model = Neutralization
        formfield_callback = picker
        fields = [
            "chassis",
            "unit",
            "on",
            "at",
            "setting",
            "frequency_kc",
            "method",
            "null_reading",
            "locked",
            "by_whom",
            "note",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["chassis"].queryset = chassis_here().exclude(model__neutralizing=SetModel.NONE)  # type: ignore[attr-defined]
        self.fields["unit"].queryset = units_here()  # type: ignore[attr-defined]


class DisturbanceForm(forms.ModelForm):
    chassis = _named(Chassis.objects.none(), "chassis", required=False)
    unit = _named(Chassis.objects.none(), "plug-in unit", required=False)

    class Meta:
        model = Disturbance
        formfield_callback = picker
        fields = ["chassis", "unit", "cause", "on", "at", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["chassis"].queryset = chassis_here()  # type: ignore[attr-defined]
        self.fields["unit"].queryset = units_here()  # type: ignore[attr-defined]
        self.fields["chassis"].help_text = "Alone: every unit on this chassis."
        self.fields["unit"].help_text = "Alone: this unit on every chassis. With a chassis: only that pair."


class CompanionKindForm(forms.ModelForm):
    class Meta:
        model = CompanionKind
        fields = ["set_model", "name"]


class CompanionForm(forms.ModelForm):
    kept_with = _named(Chassis.objects.none(), "kept with", required=False)

    class Meta:
        model = Companion
        formfield_callback = picker
        fields = ["kind", "mate_serial", "mate_reading", "serial", "serial_reading", "kept_with", "note"]
        labels = {"serial": "its own serial", "serial_reading": "its own plate"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kept_with"].queryset = chassis_here()  # type: ignore[attr-defined]


class NewCompanionForm(CompanionForm):
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False)


class ComparisonForm(forms.ModelForm):
    chassis = _named(Chassis.objects.none(), "compared with")

    class Meta:
        model = CompanionCheck
        formfield_callback = picker
        fields = ["chassis", "outcome", "on", "at", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sets = chassis_here().filter(model=self.instance.companion.kind.set_model_id)
        self.fields["chassis"].queryset = sets  # type: ignore[attr-defined]
