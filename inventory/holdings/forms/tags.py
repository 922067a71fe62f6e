"""A thing of the register named by its tag."""

from typing import Any

from django import forms

from inventory.holdings.models import Item
from inventory.holdings.queries import tag_in


class ItemTagField(forms.CharField):
    """Any thing here by its tag, typed or scanned; cleans to the item or None."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs.update(autocomplete="off", autocapitalize="characters", spellcheck="false")

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value) or ""
        self.run_validators(text)  # before the register is asked: PostgreSQL takes no NUL
        tag = tag_in(text)
        if not tag:
            return None
        item = Item.objects.filter(tag=tag, gone_on__isnull=True).first()
        if item is None:
            raise forms.ValidationError(f"Nothing here has the tag {tag!r}.")
        return item

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return Item.objects.get(pk=value).tag
        return value.tag if isinstance(value, Item) else value
