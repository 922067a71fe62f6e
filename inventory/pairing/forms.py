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
from tubes.forms import FrequencyField


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
            "dial_scale",
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


class StrikeForm(forms.Form):
    why = forms.CharField(
        max_length=200,
        label="why it is struck out",
        help_text="The record stays, with this reason, and counts no more.",
    )


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
        self.fields["kind"].queryset = CompanionKind.objects.select_related("set_model")  # type: ignore[attr-defined]
        self.fields["kept_with"].queryset = chassis_here()  # type: ignore[attr-defined]


class NewCompanionForm(CompanionForm):
    field_order = ["kind", "mate_serial", "mate_reading", "place"]
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
