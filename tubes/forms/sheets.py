"""The form that a data sheet is typed into: every figure with its unit, base and pins, and the text it stands in."""

from typing import Any

from django import forms

from inventory.house.form_fields import KeyChoice
from tubes.models import Basing, Rating, Source
from tubes.rules.basing import PinFault, parse_pins
from tubes.rules.sheet_figures import UNITS, parse_figure
from tubes.rules.sheet_words import with_words
from tubes.rules.sources import DERIVED, FROM_MEMORY, STATED
from tubes.rules.tables import KEPT_WORDS
from tubes.rules.units import UnitFault

WAVES = ("full-wave", "half-wave", "two separate diodes")


class FigureField(forms.CharField):
    """A figure, bare in the unit shown or with its own unit; cleans to a float in that unit, or None."""

    def __init__(self, unit: str, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=40, **kwargs)
        self.validators = []  # those of a text; the length is looked at below
        self.unit = unit
        self.widget.attrs.update(autocomplete="off", inputmode="text")

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        if len(text) > 40:
            raise forms.ValidationError("This is too long for a figure; write it as 6.3 or 300 mA.")
        try:
            return parse_figure(text, self.unit)
        except UnitFault as fault:
            raise forms.ValidationError(str(fault)) from fault

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.12g}" if isinstance(value, float) else value


def _figure_fields() -> dict[str, FigureField]:
    return {
        name: FigureField(unit, label=str(Rating._meta.get_field(name).verbose_name))  # type: ignore[union-attr]
        for name, unit in UNITS.items()
    }


class SheetForm(forms.ModelForm):
    """Own figures of a type. ``text()`` tells what they rest on: a text that is there, or title, page and date."""

    pins = forms.CharField(
        required=False, max_length=200,
        help_text="Seen from below, for example 1=S 2=H 3=P 5=G1 7=H 8=K cap=P. H heater, F filament, K cathode, P "
        "plate, G1 to G5 grids, D diode, S shell; b for the second section, as in Pb.",
    )  # fmt: skip
    gc = FigureField("umho", label="conversion transconductance of a mixer, micromho")
    wave = forms.ChoiceField(choices=[("", "---------"), *((w, w) for w in WAVES)], required=False, label="rectifier")
    running = FigureField("V", label="running voltage of a regulator, V")
    least = FigureField("mA", label="its least current, mA")
    most = FigureField("mA", label="its largest current, mA")
    start = FigureField("V", label="its starting voltage, V")
    title = forms.CharField(
        required=False, max_length=300, label="title of the text",
        help_text="As printed on it: maker, sheet or manual. It is kept for the next type.",
    )  # fmt: skip
    page = forms.CharField(required=False, max_length=300, label="page in it")
    dated = forms.CharField(required=False, max_length=60, label="its date", help_text="If it bears one.")
    source = KeyChoice(
        queryset=Source.objects.order_by("title"), required=False, label="or a text that is there already"
    )
    grade = forms.ChoiceField(
        choices=[(STATED, "stated by the text"), (DERIVED, "derived from it"), (FROM_MEMORY, "from memory")],
        initial=STATED, required=False,
    )  # fmt: skip
    field_order = (
        "title", "page", "dated", "source", "grade", "kind", "cathode", "base", "basing", "pins", "cap", "cutoff",
        *UNITS, "gc", "wave", "running", "least", "most", "start", "note",
    )  # fmt: skip

    class Meta:
        model = Rating
        fields = [*KEPT_WORDS, *UNITS, "note"]
        help_texts = {"basing": "Its code, for example 8BD; empty: pins without a code are kept under the type's name."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = self.instance
        if own.pk:
            behind = own.sources.select_related("source").first()
            self.initial.setdefault("source", behind.source_id if behind else None)
            drawn = Basing.objects.filter(code=own.basing, origin=own.origin).first() if own.basing else None
            self.initial.setdefault("pins", drawn.pins if drawn else "")

    def clean_pins(self) -> str:
        try:
            return " ".join(self.cleaned_data["pins"].split()) if self._pinned() else ""
        except PinFault as fault:
            raise forms.ValidationError(str(fault)) from fault

    def _pinned(self) -> bool:
        text = self.cleaned_data["pins"]
        return bool(text and parse_pins(text))

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        if "title" in cells and not cells.get("title") and not cells.get("source") and "source" not in self.errors:
            self.add_error("title", "Name the text that the figures stand in, or choose one below.")
        regulator = [name for name in ("running", "least", "most") if cells.get(name)]
        if 0 < len(regulator) < 3 and not self.errors:
            self.add_error("running", "Write running voltage, least and largest current of a regulator together.")
        told = {name: cells.get(name) for name in ("gc", "wave", "running", "least", "most", "start")}
        if "note" in cells:
            cells["note"] = with_words(cells["note"] or "", **told)
        cells["grade"] = cells.get("grade") or STATED
        return cells


for _name, _field in _figure_fields().items():
    SheetForm.base_fields[_name] = _field
