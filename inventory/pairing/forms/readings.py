"""Readings around a null, typed or pasted."""

import math
from typing import Any

from django import forms

from inventory.pairing.models import Neutralization
from inventory.pairing.rules.kept_null import rows_of
from inventory.pairing.rules.null_fit import LINEAR, NullRefused
from inventory.pairing.rules.null_table import parse_readings


class FigureField(forms.CharField):
    """A figure typed with a decimal point or a decimal comma, whichever the phone's keypad has; cleans to a number."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        super().__init__(**kwargs)
        self.widget.attrs.update(inputmode="decimal", autocomplete="off")

    def to_python(self, value: Any) -> Any:
        text = (super().to_python(value) or "").strip()
        if not text:
            return None
        try:
            figure = float(text.replace(",", "."))
        except ValueError:
            figure = math.nan
        if not abs(figure) <= 1e12:
            raise forms.ValidationError(f"{text[:40]!r} is no figure; write it like 37.5.")
        return figure

    def prepare_value(self, value: Any) -> Any:
        return f"{value:g}" if isinstance(value, float) else value


class RowsField(forms.CharField):
    """Readings around a null, a line each; cleans to rows as they are kept (empty: none)."""

    widget = forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return []
        try:
            return rows_of(parse_readings(text))
        except NullRefused as fault:
            raise forms.ValidationError(str(fault)) from fault

    def prepare_value(self, value: Any) -> Any:
        return rows_in_words(value) if isinstance(value, list) else value


def rows_in_words(rows: Any) -> str:
    """Kept readings as the null finder takes them back."""
    return "\n".join(" ".join(f"{figure:.10g}" for figure in row) for row in rows)


class ReadingsForm(forms.Form):
    """Readings around a null: one more while reading, or all of them typed or pasted."""

    at = FigureField(label="setting")
    reads = FigureField(label="reading there")
    readings = RowsField(
        required=False,
        label="all readings",
        help_text="One line a reading: setting, then reading. Or paste a table with the columns setting and reading.",
    )
    scale = forms.ChoiceField(choices=Neutralization.INDICATORS, initial=LINEAR, label="what the indicator shows")
    low = FigureField(label="dial begins at")
    high = FigureField(label="dial ends at")

    NEXT = ("at", "reads")

    @property
    def next_one(self) -> list[Any]:
        """The fields for one more reading."""
        return [self[name] for name in self.NEXT]

    @property
    def others(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name not in self.NEXT]

    @property
    def added(self) -> bool:
        """Whether a valid form brings one more reading."""
        return self.cleaned_data["at"] is not None

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        one = [cells.get(name) for name in self.NEXT]
        if None in one and one != [None, None] and not self.errors:
            self.add_error(self.NEXT[one.index(None)], "A reading is a setting and what was read there: give both.")
        elif one == [None, None] and not cells.get("readings") and not self.errors:
            self.add_error("readings", "Give readings: a line each, setting, then reading.")
        elif None not in one:
            cells["readings"] = [*cells.get("readings", []), one]
        return cells
