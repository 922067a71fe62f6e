"""What the register of hazards can be narrowed by; page, paper and API share it."""

from typing import Any

from django import forms

from inventory.holdings.models import Place
from inventory.holdings.queries.hazard_register import NARROWED, Entry, Register, hazard_register
from inventory.holdings.rules.hazard_kinds import HAZARDS
from inventory.holdings.rules.hazard_register import UNSEEN
from inventory.house.filters import LONGEST, few_words
from inventory.house.form_fields import DayField, KeyChoice
from inventory.house.search import words_of


def _hazards() -> list[tuple[str, str]]:
    words = dict.fromkeys(kind.words for kind in HAZARDS)
    return [("", "every one"), *((name, name) for name in words)]


class RegisterForm(forms.Form):
    """``found`` gives the entries that a valid form asks for, and the register that they are of."""

    place = KeyChoice(queryset=Place.objects.all(), required=False, label="Place, with all below")
    hazard = forms.ChoiceField(choices=_hazards, required=False, label="Hazard")
    standing = forms.ChoiceField(choices=[("", "all that is on record"), *NARROWED], required=False, label="Which")
    before = DayField(required=False, label="Last looked at before")
    text = forms.CharField(
        max_length=LONGEST, required=False, validators=[few_words], label="Words in thing, place, reason, name"
    )

    @property
    def asked(self) -> tuple[str, ...]:
        """What it is narrowed by, in words."""
        said = []
        for name in self.fields:
            if self.cleaned_data[name]:
                value = self.cleaned_data[name]
                words = dict(NARROWED).get(value, value) if name == "standing" else value
                said.append(f"{self.fields[name].label}: {words}")
        return (f"{'; '.join(said)}.",) if said else ()

    def found(self) -> tuple[Register, list[Entry]]:
        """The register of the place, and the entries of it that are asked for."""
        cells: dict[str, Any] = self.cleaned_data
        register = hazard_register(cells["place"], unseen=cells["standing"] == UNSEEN)
        entries = register.narrowed(
            hazard=cells["hazard"], standing=cells["standing"], before=cells["before"], words=words_of(cells["text"])
        )
        return register, entries
