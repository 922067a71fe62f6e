"""Why a thing goes without what belongs with it: asked for before it does, and kept with the move."""

from typing import Any

from django import forms


def why_alone(form: Any, left: str, field: str = "why", needed: bool = True) -> Any:
    """Ask for the reason in ``field`` where something is left behind (``left`` names it); else leave the form alone."""
    if left:
        form.fields[field] = forms.CharField(
            max_length=80,
            required=needed,
            label="why it goes alone",
            help_text="Kept with the record of this move.",
        )
    return form
