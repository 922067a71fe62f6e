"""Forms for the ledger: what was done, what upset it, and correcting either."""

from typing import Any

from django import forms
from django.db.models import Q

from inventory.house.form_fields import FillsInNow, picker
from inventory.pairing.forms.readings import RowsField
from inventory.pairing.models import Disturbance, Neutralization
from inventory.sets.forms import ThingField
from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries import chassis_here, units_here
from tubes.forms import FrequencyField


def named(queryset: Any, label: str, required: bool = True) -> Any:
    """A field for one chassis or unit, shown with its tag."""
    return ThingField(queryset, label=label, required=required)


class LockKeys(forms.RadioSelect, forms.NullBooleanSelect):  # type: ignore[misc]
    """Yes, no or not said, in one tap."""

    checked_attribute = {"checked": True}

    def __init__(self, attrs: Any = None) -> None:
        super().__init__(attrs)
        self.choices = [("true", "tightened"), ("false", "not tightened"), ("unknown", "not said")]


class AsksRange(forms.Form):
    """A form with a unit and a frequency: one that the unit does not cover is asked about, since 36 is often 3.6."""

    off_range = forms.BooleanField(
        required=False, label="the frequency is right, outside what the unit covers", help_text="Only when asked."
    )

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        unit, asked = cells.get("unit"), cells.get("frequency_kc")
        low, high = (unit.model.low_kc, unit.model.high_kc) if unit else (None, None)
        if asked and low and high and not low <= asked <= high and not cells.get("off_range"):
            covers = unit.model if unit else ""
            told = f"{asked:g} kc lies outside {low:g} to {high:g} kc, which a {covers} covers; tick this if it is so."
            self.add_error("off_range", told)
        return cells


class NeutralizationForm(AsksRange, FillsInNow, forms.ModelForm):
    """A neutralization: what is wanted at the bench first, the rest folded away until it is asked for."""

    FIRST = ("chassis", "unit", "on", "at", "setting", "locked")

    chassis = named(Chassis.objects.none(), "chassis")
    unit = named(Chassis.objects.none(), "plug-in unit")
    locked = forms.NullBooleanField(widget=LockKeys, label="lock", required=False)
    frequency_kc = FrequencyField(label="frequency used")
    readings = RowsField(
        required=False,
        label="readings around the null",
        help_text="One line a reading: setting, then reading. What they say is worked out and kept with them.",
    )

    class Meta:
        model = Neutralization
        formfield_callback = picker
        fields = [
            "chassis", "unit", "on", "at", "setting", "locked",
            "method", "dial_scale", "frequency_kc", "null_reading", "readings", "indicator", "by_whom", "note",
        ]  # fmt: skip

    def __init__(self, *args: Any, chosen: bool = False, found: bool = False, **kwargs: Any) -> None:
        """``chosen``: the pair is settled by the page that led here and not asked for again. ``found``: the setting is
        a null found from readings, so what is seen there is asked for beside it."""
        super().__init__(*args, **kwargs)
        self.beside_setting = ("null_reading",) if found else ()
        if found:
            self.fields["null_reading"].label = "reading at that setting"
            self.fields["null_reading"].help_text = "Set the dial to it and write what the indicator shows."
        sets = chassis_here().exclude(model__neutralizing=SetModel.NONE)
        _offer(self, "chassis", sets)
        _offer(self, "unit", units_here())
        self.fields["setting"].widget.attrs.update(inputmode="decimal", autocomplete="off")
        if chosen:
            self.fields["chassis"].widget = forms.HiddenInput()
            self.fields["unit"].widget = forms.HiddenInput()

    @property
    def first(self) -> list[Any]:
        """The fields of the first screen."""
        return [field for field in self.visible_fields() if field.name in (*self.FIRST, *self.beside_setting)]

    @property
    def rest(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name not in (*self.FIRST, *self.beside_setting)]

    @property
    def unfolded(self) -> bool:
        """Whether the rest has to be seen: something is wrong in it."""
        return any(field.errors for field in self.rest)


def _offer(form: Any, name: str, things: Any) -> None:
    """What is here to choose from, and the thing that a record names although it has left."""
    kept = getattr(form.instance, f"{name}_id", None)
    model = things.model
    whole = model.objects.filter(Q(pk__in=things.order_by().values("pk")) | Q(pk=kept)) if kept else things
    form.fields[name].queryset = whole.select_related("model", "item")


class DisturbanceForm(FillsInNow, forms.ModelForm):
    """What was upset: a thing, with every partner it has. One pair alone is said only by older records."""

    UNIT, CHASSIS, BOTH, PAIR = "unit", "chassis", "both", "pair"
    SCOPES = [(UNIT, "the unit"), (CHASSIS, "the chassis"), (BOTH, "both")]

    chassis = named(Chassis.objects.none(), "chassis", required=False)
    unit = named(Chassis.objects.none(), "plug-in unit", required=False)
    scope = forms.ChoiceField(
        choices=SCOPES,
        required=False,
        widget=forms.RadioSelect,
        label="what was upset",
        help_text="With every partner it has. Not said: what is named above, both where both are.",
    )
    field_order = ["chassis", "unit", "scope"]

    class Meta:
        model = Disturbance
        formfield_callback = picker
        fields = ["chassis", "unit", "cause", "on", "at", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _offer(self, "chassis", chassis_here())
        _offer(self, "unit", units_here())
        row = self.instance
        if self.initial.get("chassis") and self.initial.get("unit"):
            self.initial["scope"] = self.BOTH
        if row.chassis_id and row.unit_id:
            self.initial["scope"] = self.BOTH if row.both else self.PAIR
            if not row.both:
                pair = (self.PAIR, "only the one with the other, as it was recorded")
                self.fields["scope"].choices = [*self.SCOPES, pair]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        named_here = [name for name in (self.UNIT, self.CHASSIS) if cells.get(name)]
        if not named_here and not {self.UNIT, self.CHASSIS} & set(self.errors):
            self.add_error(self.CHASSIS, "Say which chassis or which unit was disturbed.")
        scope = cells.get("scope") or (self.BOTH if len(named_here) == 2 else "".join(named_here[:1]))
        wanted = (self.UNIT, self.CHASSIS) if scope in (self.BOTH, self.PAIR) else (scope,) if scope else ()
        for name in wanted:
            if name not in named_here and name not in self.errors:
                self.add_error(name, f"Say which {'plug-in unit' if name == self.UNIT else 'chassis'} was upset.")
        for name in {self.UNIT, self.CHASSIS} - set(wanted):
            cells[name] = None if scope else cells.get(name)
        self.instance.both = scope == self.BOTH
        return cells
