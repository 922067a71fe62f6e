"""Forms for the keeper's own rows of tube knowledge."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.house.pages import picker
from tubes.models import Designation, Rating, Source, TubeType
from tubes.queries import knowledge, type_for_stamp
from tubes.rules.sources import DERIVED, FROM_MEMORY, STATED
from tubes.rules.tables import FIGURES, WORDS
from tubes.rules.units import UnitFault, parse_frequency_kc


def find_type(text: str) -> TubeType:
    """The type that a text names: by its name, else by a mark that has one meaning. Raises ValidationError."""
    text = text.strip()
    exact = TubeType.objects.filter(name__iexact=text).first()
    if exact:
        return exact
    known = knowledge()
    answer = known.read(text)
    name = type_for_stamp(answer, known)
    if name:
        return TubeType.objects.get(name=name)
    meanings = sorted({r.type for r in answer.readings if r.type})
    if meanings:
        raise ValidationError(f"{text!r} can mean {', '.join(meanings)}; write the type that it is.")
    raise ValidationError(answer.refused or f"{text!r} is not in the tables; add the type first.")


class TypeField(forms.CharField):
    """A tube type, typed by its name or by any mark with one meaning; cleans to a TubeType or None."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("help_text", "The type or any of its numbers, for example 6SN7GT or VT-231.")
        super().__init__(**kwargs)
        self.widget.attrs.update(autocomplete="off", autocapitalize="characters", spellcheck="false")

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
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
            "note": "Begin with 'unchecked:' for a lead that must not count as an equivalent.",
        }


class RatingForm(forms.ModelForm):
    source = forms.ModelChoiceField(Source.objects.order_by("title"), label="text the figures rest on")
    grade = forms.ChoiceField(
        choices=[(STATED, "stated by the text"), (DERIVED, "derived from it"), (FROM_MEMORY, "from memory")]
    )

    class Meta:
        model = Rating
        fields = [*WORDS, *FIGURES, "note"]
        formfield_callback = picker
