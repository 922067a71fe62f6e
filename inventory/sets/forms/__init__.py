"""Forms for set models, chassis, units, and for fitting and seating."""

from copy import deepcopy
from typing import Any

from django import forms
from django.db.models import F

from inventory.holdings.models import Place, Tube
from inventory.holdings.queries import tubes_here
from inventory.house.form_fields import ClockField, DayField, FillsInNow, KeyChoice, KeyChoices, picker
from inventory.sets.models import Approval, Bay, Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, UnitModel
from inventory.sets.queries.there import other_there
from tubes.forms import FrequencyField, TypeField
from tubes.rules.supply import LEAST_V, MOST_V


class SetModelForm(forms.ModelForm):
    class Meta:
        model = SetModel
        fields = [
            "name", "kind", "neutralizing", "filament_supply_v", "filament_winding_a", "switched_together", "on_side",
            "no_tubes", "caution", "note",
        ]  # fmt: skip
        help_texts = {"filament_supply_v": "What stands on the heater branches, before any dropper."}
        formfield_callback = picker

    def clean_filament_supply_v(self) -> float | None:
        value: float | None = self.cleaned_data["filament_supply_v"]
        if value is not None and not LEAST_V <= value <= MOST_V:
            raise forms.ValidationError(
                f"{value:g} V is no filament supply; give it in volts, {LEAST_V:g} to {MOST_V:g}, or leave it empty."
            )
        return value


class PositionForm(forms.ModelForm):
    type = TypeField(label="tube type wanted")

    class Meta:
        model = Position
        fields = [
            "mark", "type", "role", "neutralized", "matched", "tuned", "gain_controlled", "heater_branch", "heater_v",
            "plate_v", "plate_w", "screen_v", "screen_w", "output_ma", "frequency_mc", "values_from",
        ]  # fmt: skip


class ApprovalForm(forms.ModelForm):
    type = TypeField(label="tube type", required=True)

    class Meta:
        model = Approval
        fields = ["type", "verdict", "on", "source", "words"]
        formfield_callback = picker


class BayForm(forms.ModelForm):
    class Meta:
        model = Bay
        fields = ["mark"]


class UnitModelForm(forms.ModelForm):
    low_kc = FrequencyField(label="covers from")
    high_kc = FrequencyField(label="covers to")

    class Meta:
        model = UnitModel
        fields = ["name", "fits", "low_kc", "high_kc", "note"]
        field_classes = {"fits": KeyChoices}
        widgets = {"fits": forms.CheckboxSelectMultiple}
        formfield_callback = None


class SerialledForm(forms.ModelForm):
    """A chassis or a unit; what a new one needs besides is in ``New...``."""

    twin_confirmed = forms.BooleanField(
        required=False, label="there are two with this serial", help_text="Tick only when both plates were read."
    )


class ChassisForm(SerialledForm):
    class Meta:
        model = Chassis
        fields = ["model", "serial", "serial_reading", "note"]
        formfield_callback = picker


class UnitForm(SerialledForm):
    class Meta:
        model = PlugInUnit
        fields = ["model", "serial", "serial_reading", "note"]
        formfield_callback = picker


class NewThingFields(forms.Form):
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False)


class NewChassisForm(NewThingFields, ChassisForm):
    class Meta(ChassisForm.Meta):
        pass


class NewUnitForm(NewThingFields, UnitForm):
    class Meta(UnitForm.Meta):
        pass


class FittingForm(forms.ModelForm):
    class Meta:
        model = Fitting
        formfield_callback = picker
        fields = ["since", "since_at", "until", "until_at", "note"]


class SeatingForm(forms.ModelForm):
    class Meta:
        model = Seating
        formfield_callback = picker
        fields = ["since", "since_at", "until", "until_at", "note"]


class TubeTagField(forms.CharField):
    """A tube by its tag; cleans to the tube. ``gone``: also one that left the collection."""

    def __init__(self, *, gone: bool = False, **kwargs: Any) -> None:
        self.gone = gone
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Any:
        tag = (super().to_python(value) or "").strip()
        if not tag:
            return None
        tube = (Tube.objects.all() if self.gone else tubes_here()).filter(item__tag__iexact=tag).first()
        if tube is None:
            raise forms.ValidationError(f"No tube here has the tag {tag!r}.")
        return tube

    def prepare_value(self, value: Any) -> Any:
        return value.tag if isinstance(value, Tube) else value


class CarriesWhatIsThere(forms.Form):
    """A form that hands back the tag of what was shown in a position or a bay, and is refused where that changed.

    Shown again it carries what is there now, so that whoever has looked again can go on.
    """

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, mark: str, holds: str, **kwargs: Any) -> None:
        """``holds``: the tag of what the position or bay with that ``mark`` holds now, or ``NOTHING``."""
        super().__init__(*args, **kwargs)
        self.mark, self.holds = mark, holds
        self.fields["seen"].initial = holds

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        if told := other_there(self.mark, self.holds, cells.get("seen", "")):
            self.add_error(None, told)
            data: Any = self.data
            self.data = data.copy()
            self.data[self.add_prefix("seen")] = self.holds  # type: ignore[index]
        return cells


PAST = "Only of an earlier stay that is over; its moves are left as they are on record."


class FitForm(CarriesWhatIsThere, FillsInNow):
    DAY, CLOCK = "since", "since_at"

    tube = TubeTagField(label="tube, by its tag", gone=True)
    since = DayField(label="date")
    since_at = ClockField(label="time", required=False, help_text="If known; it settles what came first on one day.")
    replace = forms.BooleanField(required=False, label="take out the tube that is there")
    old_tube_to = forms.ModelChoiceField(Place.objects.all(), required=False, label="that tube goes to")
    other_type = forms.BooleanField(required=False, label="it is not the type wanted, and fitted on purpose")
    in_doubt = forms.BooleanField(
        required=False, label="its last test or its state speaks against it, and it is fitted on purpose"
    )
    claimed = forms.BooleanField(required=False, label="it is reserved for something else, and fitted on purpose")
    mercury_why = forms.CharField(
        max_length=180, required=False, label="mercury all the same, and why",
        help_text="Asked of mercury in a set that lies on its side or switches plate and filament together.",
    )  # fmt: skip
    note = forms.CharField(max_length=200, required=False)
    until = DayField(label="to, if it is out again", required=False, help_text=PAST)
    until_at = ClockField(label="time it was taken out", required=False)

    def clean(self) -> dict[str, Any]:
        """As ever; a time that was only filled in is none of a stay that is over, which began before now."""
        shown = self.data.get(self.add_prefix("filled_in"), "")
        cells = super().clean()
        clock = cells.get("since_at")
        if clock and cells.get("until") and f"{clock:%H:%M}" == shown[11:]:
            cells["since_at"] = None
        return cells

    def ask_too(self, refusal: forms.ValidationError) -> None:
        """Take fields in again that were left out as not asked, where the action asks for them by now."""
        for name in getattr(refusal, "error_dict", {}):
            if name in self.base_fields and name not in self.fields:
                self.fields[name] = deepcopy(self.base_fields[name])
        self.order_fields(self.base_fields)


class OutForm(FillsInNow):
    DAY, CLOCK = "until", "until_at"

    until = DayField(label="date")
    until_at = ClockField(label="time", required=False)
    place = forms.ModelChoiceField(
        Place.objects.all(), required=False, label="it goes to", empty_label="no place (not known)"
    )


class ThingField(KeyChoice):
    """A chassis or a unit, shown with its tag, since serials may be missing or alike."""

    def label_from_instance(self, obj: Any) -> str:
        gone = obj.item.gone_on
        return f"{obj.tagged}, left on {gone}" if gone else str(obj.tagged)


class InsteadForm(forms.Form):
    """A type tried in a position, on paper."""

    position = forms.ModelChoiceField(Position.objects.none())
    type = TypeField(label="tube type", required=True)

    def __init__(self, *args: Any, set_model: SetModel, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["position"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = set_model.positions.order_by("id")


class SeatForm(CarriesWhatIsThere):
    unit = ThingField(PlugInUnit.objects.none(), label="plug-in unit")
    since = DayField(label="date")
    until = DayField(label="to, if it is out again", required=False, help_text=PAST)

    def __init__(self, *args: Any, set_model: SetModel, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["unit"]
        assert isinstance(field, forms.ModelChoiceField)
        units = PlugInUnit.objects.filter(model__fits=set_model).select_related("model", "item")
        field.queryset = units.order_by(F("item__gone_on").asc(nulls_first=True), "model__name", "serial", "item_id")
