"""Form fields and forms of days and times, with the browser's own pickers."""

from typing import Any

from django import forms
from django.db import models
from django.utils import timezone

from inventory.house.keys import MOST_FIGURES, key_of


class DayField(forms.DateField):
    """A day, with the browser's own picker."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except forms.ValidationError:
            raise forms.ValidationError(f"{value!r} is no date; write it as 2026-11-29.", code="invalid") from None


class ClockField(forms.TimeField):
    """A time of day, with the browser's own picker."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except forms.ValidationError:
            raise forms.ValidationError(f"{value!r} is no time of day; write it as 21:50.", code="invalid") from None


class FillsInNow(forms.Form):
    """A form of something that happens: where its day is today, the time is filled in as now, to be changed or cleared.

    So what is entered as it happens has its order. A time that was only filled in counts for today alone: with another
    day it is dropped, since nobody said it. ``DAY`` and ``CLOCK`` name the fields.
    """

    DAY, CLOCK = "on", "at"

    filled_in = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = timezone.localtime()
        if getattr(getattr(self, "instance", None), "pk", None):
            del self.fields["filled_in"]
        elif not self.initial.get(self.CLOCK) and self.initial.get(self.DAY) == now.date():
            self.initial = {**self.initial, self.CLOCK: now.time(), "filled_in": f"{now:%Y-%m-%d %H:%M}"}

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        shown = cells.pop("filled_in", "")
        day, clock = cells.get(self.DAY), cells.get(self.CLOCK)
        if day and clock and f"{clock:%H:%M}" == shown[11:] and f"{day:%Y-%m-%d}" != shown[:10]:
            cells[self.CLOCK] = None
        return cells


class KeyChoice(forms.ModelChoiceField):
    """One row by its number. A number that no database holds is no choice, as is any other that is not there.

    The row of a thing is numbered by its row of the register, and such numbers Django compares without their bounds.
    """

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value not in self.empty_values and key_of(value) is None:
            raise forms.ValidationError(
                self.error_messages["invalid_choice"], code="invalid_choice", params={"value": value[:MOST_FIGURES]}
            )
        return super().to_python(value)


class KeyChoices(forms.ModelMultipleChoiceField):
    """Some rows by their numbers; the same of each."""

    def clean(self, value: Any) -> Any:
        for one in value if isinstance(value, (list, tuple)) else ():
            if isinstance(one, str) and key_of(one) is None:
                raise forms.ValidationError(
                    self.error_messages["invalid_pk_value"], code="invalid_pk_value", params={"pk": one[:MOST_FIGURES]}
                )
        return super().clean(value)


LONGEST_TEXT = 20_000  # characters of a note as it is typed in: some ten pages


def picker(field: Any, **kwargs: Any) -> Any:
    """The form field for a model's date or time with the browser's picker (``formfield_callback`` of our forms)."""
    if isinstance(field, models.DateTimeField):
        return field.formfield(**kwargs)
    if isinstance(field, models.DateField):
        return field.formfield(form_class=DayField, **(kwargs | {"widget": DayField.widget}))
    if isinstance(field, models.TimeField):
        return field.formfield(form_class=ClockField, **(kwargs | {"widget": ClockField.widget}))
    if isinstance(field, models.TextField):
        most = {"max_length": field.max_length or LONGEST_TEXT}
        return field.formfield(**(kwargs | most | {"widget": forms.Textarea(attrs={"rows": 3})}))
    if isinstance(field, models.ForeignKey):
        return field.formfield(**({"form_class": KeyChoice} | kwargs))
    return field.formfield(**kwargs)


class Folded:
    """A form whose seldom fields are folded away below the others; open where one says something or is wrong."""

    FOLDED: tuple[str, ...] = ()
    FOLDED_AS = "More"

    @property
    def first_fields(self) -> list[Any]:
        return [one for one in self._shown() if one.name not in self.FOLDED]

    @property
    def folded_fields(self) -> list[Any]:
        return [one for one in self._shown() if one.name in self.FOLDED]

    @property
    def folded_open(self) -> bool:
        return any(one.errors or one.value() not in (None, "", False) for one in self.folded_fields)

    def _shown(self) -> list[Any]:
        form: Any = self
        return list(form.visible_fields())
