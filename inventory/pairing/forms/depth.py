"""Forms that narrow the tables, for a set on the air, and for the neutralizing circuit of a set model."""

from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.urls import reverse
from django.utils.html import format_html

from inventory.house.form_fields import DayField, FillsInNow, picker
from inventory.pairing.forms.ledger import AsksRange, named
from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries import ALL_STATES, asked_of, its_null
from inventory.pairing.queries.dial import KEEP, MOVE, STRIKE, null_in_words
from inventory.pairing.rules.bridge import NEEDS
from inventory.pairing.rules.fold import STATES
from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries import units_here
from tubes.forms import FrequencyField, TypeField


class PairingFilterForm(forms.Form):
    """What the pairing table can be narrowed by."""

    chassis = forms.CharField(required=False, label="Chassis: serial, tag or words of the model")
    unit = forms.CharField(required=False, label="Unit: serial, tag or words of the model")
    state = forms.MultipleChoiceField(
        choices=[(s, s) for s in ALL_STATES], required=False, label="State", widget=forms.CheckboxSelectMultiple
    )
    frequency = FrequencyField(label="Covers")
    on = DayField(required=False, label="On the day")


class StationForm(PairingFilterForm):
    """What the station view can be narrowed by."""

    field_order = ["frequency", "state", "chassis", "unit", "on"]
    frequency = FrequencyField(label="which can work")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["state"].choices = [(s, s) for s in STATES]  # type: ignore[attr-defined]


#: What becomes of the neutralization that an on-air record tells of, where that record is corrected or struck out.
WITH_ITS_NULL = [
    (MOVE, "correct it too: it was of the pair, day and time above"),
    (STRIKE, "strike it out too"),
    (KEEP, "it stands as it is"),
]
TO_STRIKE = WITH_ITS_NULL[1:]
MOST = 1e6  # no meter of a set reads more, whatever its unit


class OnAirForm(forms.Form):
    frequency = FrequencyField(required=True, label="frequency")
    on = DayField(required=False, label="on the day", help_text="Empty: today.")


def ask_its_null(form: Any, record: OnAirRecord, choices: Any = WITH_ITS_NULL, why: str = "") -> None:
    """Let a form ask what becomes of the neutralization that an on-air record tells of, where there is one."""
    null = its_null(record)
    if null is None:
        return
    address = reverse("pairing:neutralization", args=[null.pk])
    form.fields["its_null"] = forms.ChoiceField(
        choices=choices, required=False, widget=forms.RadioSelect, label="its neutralization",
        help_text=format_html('Recorded too: <a href="{}">{}</a>. {}', address, null_in_words(null), why),
    )  # fmt: skip


class OnAirRecordForm(AsksRange, FillsInNow, forms.ModelForm):
    METERS = (
        "filament_v",
        "filament_a",
        "supply_v",
        "plate_ma",
        "antenna_a",
        "antenna_scale_a",
        "output_w",
        "load_ohm",
    )

    unit = named(Chassis.objects.none(), "plug-in unit", required=False)
    readied = forms.ChoiceField(
        choices=OnAirRecord.READIED,
        required=False,
        widget=forms.RadioSelect,
        label="before it went on the air",
        help_text="Asked where the pair was not good. Neutralized: that is recorded too.",
    )
    setting = forms.CharField(
        max_length=40, required=False, label="dial setting", help_text="If it was neutralized: where the dial stands."
    )
    unit_not_known = forms.BooleanField(required=False, label="which unit was in is not known")
    frequency_kc = FrequencyField(label="frequency")
    field_order = ["on", "at", "unit", "unit_not_known", "readied", "its_null", "setting"]

    class Meta:
        model = OnAirRecord
        formfield_callback = picker
        fields = [
            "on",
            "at",
            "unit",
            "readied",
            "frequency_kc",
            "filament_v",
            "filament_a",
            "supply_v",
            "plate_ma",
            "antenna_a",
            "antenna_scale_a",
            "output_w",
            "load_ohm",
            "by_whom",
            "note",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.METERS:
            field = self.fields[name]
            field.min_value, field.max_value = 0, MOST  # type: ignore[attr-defined]
            field.validators += [MinValueValidator(0), MaxValueValidator(MOST)]
        if self.instance.pk or self.instance.chassis.model.neutralizing != SetModel.IN_CHASSIS:
            del self.fields["unit_not_known"]
        if self.instance.pk:
            ask_its_null(self, self.instance, why="Asked where unit, day, time or that answer changes.")
            self.order_fields(self.field_order)
        takes = units_here().filter(model__fits=self.instance.chassis.model_id)
        self.fields["unit"].queryset = takes  # type: ignore[attr-defined]
        if self.instance.chassis.model.neutralizing == SetModel.NONE:
            del self.fields["readied"], self.fields["setting"]
        elif self.instance.pk:
            del self.fields["setting"]  # a neutralization is corrected on its own
            self.fields["readied"].help_text = "A neutralization is a record of its own."

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        self._ask(cells)
        if not any(cells.get(name) is not None for name in self.METERS):
            self.add_error(None, "Not one meter is read: write down at least one of them.")
        return cells

    def _ask(self, cells: dict[str, Any]) -> None:
        """Whether it was neutralized, where the pair was not good then; asked of new records only."""
        if "unit_not_known" in self.fields and "unit" not in self.errors:
            self._ask_unit(cells)
        unit, on, readied = cells.get("unit"), cells.get("on"), cells.get("readied")
        if "setting" not in self.fields:
            return
        if cells.get("setting") and readied != OnAirRecord.NEUTRALIZED:
            self.add_error("readied", "A dial setting is given: say that it was neutralized, or leave the setting out.")
        elif readied and unit is None and not {"unit", "unit_not_known"} & set(self.errors):
            self.add_error("unit", "Say which unit was on the air.")
        elif unit and on and not readied and (question := asked_of(self.instance.chassis, unit, on, cells.get("at"))):
            self.add_error("readied", question)

    def _ask_unit(self, cells: dict[str, Any]) -> None:
        """Which unit was in, where the chassis holds the capacitor: nobody knows what that was set for otherwise."""
        unit, unknown = cells.get("unit"), cells.get("unit_not_known")
        if unit and unknown:
            self.add_error("unit_not_known", f"{unit} is named above: leave one of the two out.")
        elif unit is None and not unknown:
            told = "Say which unit was in, since this chassis holds the neutralizing capacitor, or tick that it is not"
            self.add_error("unit", f"{told} known.")


class BridgeForm(forms.ModelForm):
    """The neutralizing circuit of a set model, with the figures that its kind of circuit needs."""

    FIGURES = {
        "np": "turns from tap to plate end",
        "nn": "turns from tap to neutralizing end",
        "ca": "tank section on the plate side, pF",
        "cb": "tank section on the neutralizing side, or bypass, pF",
        "cpk": "plate to cathode with strays, pF",
        "ng": "grid coil: turns from tap to grid",
        "nx": "grid coil: turns from tap to neutralizing end",
        "cgf": "grid to filament with strays, pF",
    }

    class Meta:
        model = SetModel
        fields = ["bridge_circuit", "sharing", "cn_min_pf", "cn_max_pf", "rated_power_w", "filament_supply_v"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bridge_circuit"].required = True
        for name, label in self.FIGURES.items():
            self.fields[name] = forms.FloatField(required=False, label=label, min_value=0.001, max_value=MOST)
            self.initial[name] = self.instance.bridge.get(name)

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        figures = {name: cells[name] for name in self.FIGURES if cells.get(name)}
        if circuit := cells.get("bridge_circuit"):
            needed = {name for name in NEEDS[circuit] if name != "cgp"}
            for name in sorted(needed - set(figures)):
                self.add_error(name, "This circuit needs this figure.")
            figures = {name: value for name, value in figures.items() if name in needed}
        self.instance.bridge = figures
        if circuit == "cross" and cells.get("sharing") == SetModel.PARALLEL:
            self.add_error("sharing", "In push-pull each tube has its own capacitor.")
        for name in ("rated_power_w", "filament_supply_v"):
            if (value := cells.get(name)) is not None and value <= 0:
                self.add_error(name, f"{value:g}: give a figure above 0, or leave it empty.")
        least, most = cells.get("cn_min_pf"), cells.get("cn_max_pf")
        if least is not None and least < 0:
            self.add_error("cn_min_pf", "A capacitance is 0 or more.")
        if least is not None and most is not None and most <= least:
            self.add_error("cn_max_pf", f"The range ends above where it begins, {least:g} pF.")
        return cells


class BridgeInsteadForm(forms.Form):
    """A type to put into the neutralized positions, with the capacitance that the circuit turns on besides."""

    ASKED = {"split-stator": "cpk", "grid-bridge": "cgf"}

    type = TypeField(label="another type in that position", required=True)
    cpk = forms.FloatField(
        required=False, min_value=0.01, label="its plate to cathode, pF",
        help_text="Of one tube, strays included. Empty: the output capacitance of the tables.",
    )  # fmt: skip
    cgf = forms.FloatField(
        required=False, min_value=0.01, label="its grid to filament, pF",
        help_text="Of one tube, strays included. Empty: the input capacitance of the tables.",
    )  # fmt: skip
    frequency = FrequencyField(
        label="at", help_text="For the coupling that is left; empty: the highest its units cover."
    )

    def __init__(self, *args: Any, circuit: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in {"cpk", "cgf"} - {self.ASKED.get(circuit, "")}:
            del self.fields[name]


class ModulationForm(forms.Form):
    """A carrier, and how far it is modulated: by a figure, or by what the antenna ammeter rises to."""

    carrier_w = forms.FloatField(min_value=0.001, max_value=1e6, label="carrier, W")
    load_ohm = forms.FloatField(min_value=0.001, max_value=1e6, required=False, label="load, ohm")
    percent = forms.FloatField(min_value=0, max_value=100, required=False, label="modulation, %")
    carrier_a = forms.FloatField(min_value=0.001, max_value=1e4, required=False, label="or: antenna A, carrier alone")
    modulated_a = forms.FloatField(min_value=0.001, max_value=1e4, required=False, label="and modulated")

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        currents = [cells.get("carrier_a"), cells.get("modulated_a")]
        if cells.get("percent") is None and None in currents and "percent" not in self.errors:
            self.add_error("percent", "Give the modulation, or both antenna currents.")
        return cells
