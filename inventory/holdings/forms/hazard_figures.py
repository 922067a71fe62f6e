"""What is asked for figures on hazards; every figure with its unit."""

import re
from typing import Any

from django import forms

from inventory.holdings.rules.bank_text import Rated, read_bank
from inventory.holdings.rules.lifting import Lift
from inventory.holdings.wording.hazard_figures import bank_figures, field_figures, lift_figures
from tubes.rules.units import parse_quantity

_BARE = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")


class QuantityField(forms.CharField):
    """A figure with its unit, as a number in ``unit``; None where it is left empty. A bare one is taken in ``unit``."""

    def __init__(self, unit: str, **options: Any) -> None:
        super().__init__(max_length=40, **options)
        self.unit = unit

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        if _BARE.fullmatch(text):
            text = f"{text} {self.unit}"
        try:
            return parse_quantity(text, self.unit)
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault


class _Figures(forms.Form):
    """A form whose answer is worked out as it is checked: ``answer``, or an error above the form."""

    answer: dict[str, Any] | None = None

    @property
    def taken(self) -> tuple[str, ...]:
        """How figures without a unit were taken, in words."""
        bare = [
            (name, field.unit, str(self.data.get(self.add_prefix(name), "")).strip())
            for name, field in self.fields.items() if isinstance(field, QuantityField)
        ]  # fmt: skip
        return tuple(f"{self[name].label}: {text} was taken as {text} {unit}."
                     for name, unit, text in bare if _BARE.fullmatch(text))  # fmt: skip

    def worked_out(self, **cells: Any) -> dict[str, Any]:
        raise NotImplementedError

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        if not self.errors:
            try:
                self.answer = self.worked_out(**cells)
            except ValueError as fault:
                self.add_error(None, str(fault)[:1].upper() + str(fault)[1:])
        return cells


class BankForm(_Figures):
    capacitors = forms.CharField(
        max_length=2000,
        help_text="With their units, a comma between them: 8 mfd, 2 x 4 mfd. With their rated voltages: 8 mfd 450 V.",
    )
    in_series = forms.BooleanField(required=False, label="they are in series", help_text="Else in parallel.")
    volts = QuantityField(
        "V", required=False, label="voltage across the bank", help_text="1050 V. Empty: each at its rated voltage."
    )
    bleeder = QuantityField("ohm", required=False, help_text="100 kohm.")
    within = QuantityField("s", required=False, label="time it may take", help_text="5 s: for the largest bleeder.")

    def clean_capacitors(self) -> list[Rated]:
        try:
            return read_bank(self.cleaned_data["capacitors"].split(","))
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault

    def worked_out(self, **cells: Any) -> dict[str, Any]:
        return bank_figures(
            cells["capacitors"], cells["volts"], in_series=cells["in_series"], bleeder_ohm=cells["bleeder"],
            within_s=cells["within"],
        )  # fmt: skip


class FieldForm(_Figures):
    frequency = QuantityField("MHz", help_text="3720 kc, 7 Mc; a bare figure in Mc.")

    def worked_out(self, **cells: Any) -> dict[str, Any]:
        return field_figures(cells["frequency"])


class LiftForm(_Figures):
    reach = QuantityField("cm", label="Reach", help_text="From the ankles to the middle of the hands: 40 cm.")
    height = QuantityField("cm", label="height it is taken up at", help_text="Of the hands: 30 cm.")
    raised = QuantityField("cm", label="how far it is raised", help_text="75 cm.")
    weight = QuantityField("kg", required=False, help_text="Of the set: 30 kg.")

    def worked_out(self, **cells: Any) -> dict[str, Any]:
        return lift_figures(Lift(cells["reach"], cells["height"], cells["raised"], cells["weight"]))
