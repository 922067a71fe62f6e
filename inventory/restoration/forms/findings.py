"""Forms of what was found at the checks of a start sheet."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils import timezone

from inventory.house.form_fields import ClockField, DayField, picker
from inventory.restoration.models import Finding
from inventory.restoration.queries.start_sheet import SheetRow, StartSheet
from inventory.restoration.rules.printed_limit import NO_LIMIT, Limit

READING, JUDGED, WORDS, OUTSIDE = "reading_text", "all_well", "result", "outside"
MEANT = "read so, though outside the limit"
WELL = [("", "not judged"), ("True", "as it should be"), ("False", "not as it should be")]


def field_key(check: str) -> str:
    """A check as the beginning of the names of its fields: the same however the sheet has changed since."""
    return "c" + hashlib.sha256(check.encode()).hexdigest()[:12]


@dataclass(frozen=True)
class Blank:
    """The blanks of one check: a number with its unit where one is asked, a judgement, words.

    ``outside``: the tick that a reading outside the limit is meant so; only where it was asked for.
    """

    row: SheetRow
    reading: forms.BoundField | None
    judged: forms.BoundField
    words: forms.BoundField
    outside: forms.BoundField | None = None

    @property
    def wrong(self) -> forms.BoundField | None:
        """The first of them that is refused."""
        blanks = (self.reading, self.judged, self.words, self.outside)
        return next((one for one in blanks if one is not None and one.errors), None)


class FindingsForm(forms.Form):
    """The blanks of a start sheet, each check with its own; what is left empty is not written."""

    on = DayField(label="date", initial=timezone.localdate)
    at = ClockField(required=False, label="time", help_text="If known; it settles what came first on one day.")
    by_whom = forms.CharField(max_length=80, required=False, label="by whom")

    def __init__(self, data: Any, sheet: StartSheet, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.sheet = sheet
        most = {field.name: field.max_length for field in Finding._meta.fields}
        for row in (*sheet.rows, *sheet.no_more):
            key = field_key(row.check.key)
            if row.check.unit:
                reading = forms.CharField(max_length=most[READING], required=False, label=f"reading, {row.check.unit}")
                reading.widget.attrs |= {"autocomplete": "off", "placeholder": f"… {row.check.unit}"}
                self.fields[f"{key}-{READING}"] = reading
            if row.check.limit != NO_LIMIT:
                self.fields[f"{key}-{OUTSIDE}"] = forms.BooleanField(required=False, label=MEANT)
            self.fields[f"{key}-{JUDGED}"] = forms.TypedChoiceField(
                choices=WELL, coerce=lambda text: text == "True", empty_value=None, required=False, label="it is"
            )
            self.fields[f"{key}-{WORDS}"] = forms.CharField(max_length=most[WORDS], required=False, label="in words")

    def blanks_of(self, rows: tuple[SheetRow, ...]) -> Iterator[Blank]:
        """The blanks of some checks."""
        for row in rows:
            key = field_key(row.check.key)
            reading = self[f"{key}-{READING}"] if row.check.unit else None
            tick = self[f"{key}-{OUTSIDE}"] if f"{key}-{OUTSIDE}" in self.fields else None
            asked = tick if tick is not None and (tick.errors or tick.value()) else None
            yield Blank(row, reading, self[f"{key}-{JUDGED}"], self[f"{key}-{WORDS}"], asked)

    @property
    def parts(self) -> dict[str, list[Blank]]:
        """All blanks, by the parts of the sheet; last those of checks that the set gets no more."""
        parts = {**self.sheet.parts, "Asked no more": self.sheet.no_more}
        return {title: list(self.blanks_of(rows)) for title, rows in parts.items() if rows}

    @property
    def wrong(self) -> list[Blank]:
        """The checks at which something is refused."""
        return [blank for blanks in self.parts.values() for blank in blanks if blank.wrong]

    @property
    def heads(self) -> list[forms.BoundField]:
        """The fields that hold for all of it."""
        return [self[name] for name in ("on", "at", "by_whom")]

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        stray = [
            text for name, text in self.data.items()
            if name.rpartition("-")[2] in (READING, JUDGED, WORDS) and name not in self.fields and str(text).strip()
        ]  # fmt: skip
        if stray:
            told = "; ".join(str(text)[:60] for text in stray[:6])
            self.add_error(None, f"The sheet has changed since: a check that you typed into is not on it now ({told}).")
        return cells

    def findings(self) -> dict[str, Finding]:
        """What was typed, unsaved, by the beginning of its fields' names."""
        cells, found = self.cleaned_data, {}
        for row in (*self.sheet.rows, *self.sheet.no_more):
            key, check = field_key(row.check.key), row.check
            typed = {name: cells.get(f"{key}-{name}") for name in (READING, JUDGED, WORDS)}
            if typed[READING] or typed[WORDS] or typed[JUDGED] is not None:
                found[key] = Finding(
                    plan=self.sheet.plan, chassis=self.sheet.chassis, step=check.key,
                    asked=shortened(check.words), unit=check.unit, reading_text=typed[READING] or "",
                    least=check.limit.least, most=check.limit.most,
                    all_well=typed[JUDGED], result=typed[WORDS] or "",
                    **{name: cells[name] for name in ("on", "at", "by_whom")},
                )  # fmt: skip
        return found

    @property
    def outside(self) -> set[str]:
        """The checks whose reading is meant so though it lies outside the limit, as ``findings`` names them."""
        ticked = (name for name, cell in self.cleaned_data.items() if name.endswith(f"-{OUTSIDE}") and cell)
        return {name.rpartition("-")[0] for name in ticked}


def shortened(words: str) -> str:
    """The words of a check as a finding keeps them."""
    most = Finding._meta.get_field("asked").max_length or 0
    return words if len(words) <= most else words[: most - 1] + "…"


class FindingForm(forms.ModelForm):
    """One finding, to be corrected."""

    class Meta:
        model = Finding
        formfield_callback = picker
        fields = ["reading_text", "all_well", "result", "on", "at", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.instance.unit:
            del self.fields["reading_text"]
        else:
            self.fields["reading_text"].label = f"reading, {self.instance.unit}"
        if Limit(self.instance.least, self.instance.most) != NO_LIMIT:
            self.fields[OUTSIDE] = forms.BooleanField(required=False, label=MEANT, initial=bool(self.instance.outside))
