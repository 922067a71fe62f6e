"""Forms of promises and of who can be asked."""

from typing import Any

from django import forms

from inventory.holdings.forms.tags import ItemTagField
from inventory.house.form_fields import picker
from inventory.valuation.models import Contact, Promise


class PromiseForm(forms.ModelForm):
    class Meta:
        model = Promise
        formfield_callback = picker
        fields = ["to", "since", "by_whom", "note"]


class ContactForm(forms.ModelForm):
    item = ItemTagField(required=False, max_length=20, label="or only of one thing, by its tag")

    class Meta:
        model = Contact
        formfield_callback = picker
        fields = ["name", "reach", "knows", "kind", "place", "item", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kind: Any = self.fields["kind"]
        kind.choices = [("", "of every kind"), *(one for one in kind.choices if one[0])]
