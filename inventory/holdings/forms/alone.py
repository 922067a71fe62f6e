"""Why a thing goes though something belongs with it or counts on it: asked for first, and kept with the move."""

from typing import Any

from django import forms


def why_alone(form: Any, left: str, field: str = "why", needed: bool = True) -> Any:
    """Ask for the reason in ``field`` where something speaks against it (``left`` says what); else change nothing.

    A field that is only there for that is the first of the form, below the words that ask for it.
    """
    if left:
        added = needed and field not in form.fields
        form.fields[field] = forms.CharField(
            max_length=80,
            required=needed,
            label="why it goes all the same",
            help_text="Kept with the record of this move.",
        )
        if added:
            form.order_fields([field])
    return form
