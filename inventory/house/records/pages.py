"""The pages that correct and strike out."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.http import HttpRequest, HttpResponse
from django.utils.choices import flatten_choices

from inventory.house.edit_pages import change_page
from inventory.house.records.actions import NEW, hold, state_of, strike_out
from inventory.house.writing import refuse

SEEN = "seen"
REASON_LENGTH = 100
#: The reason of a change: must be given; may be given, of a correction or of a change; is not asked for.
NEEDED, ASKED, WELCOME, NOT_ASKED = "needed", "asked", "welcome", "not asked"


class StrikeForm(forms.Form):
    why = forms.CharField(
        max_length=200,
        label="why it is struck out",
        help_text="The record stays, with this reason, and counts no more.",
    )


def correct_page(
    request: HttpRequest,
    row: models.Model,
    make: Callable[[Any], Any],
    save: Callable[[Any], tuple[str, str]],
    *,
    why: str = NEEDED,
    lock_first: Callable[[], object] | None = None,
    **context: Any,
) -> HttpResponse:
    """``change_page`` for a row that may be there already: only as it was seen, the reason beside what it said before.

    The form carries the state that was shown. On a POST the row is locked first; where somebody changed it meanwhile,
    or struck it out, nothing is written and everything typed stays in the form, the reason too; what changed is told,
    and whoever sends the form again after that writes over it knowingly. A POST that does not say what was shown is
    answered with what the record says now. ``make`` and ``save`` are those of ``change_page``; the reason is
    ``reason_in(form)``. ``why``: whether it is asked for. ``lock_first``: locks what everybody else locks before the
    row, so that nobody waits for another who waits for him.
    """
    loaded = state_of(row)  # before a form writes into the row

    def asking(data: Any) -> Any:
        form = make(data)
        form.fields[SEEN] = forms.CharField(required=False, widget=forms.HiddenInput, initial=loaded)
        if loaded != NEW and why != NOT_ASKED:
            form.fields[_reason_name(form)] = forms.CharField(
                max_length=REASON_LENGTH, required=why == NEEDED,
                label="why it is changed" if why == WELCOME else "why it is corrected",
                help_text="It stays beside what it said before.",
            )  # fmt: skip
        return form

    def held(form: Any) -> tuple[str, str]:
        with transaction.atomic():
            try:
                if lock_first is not None:
                    lock_first()
                hold(row, loaded, form.cleaned_data[SEEN])
                if loaded != NEW and not form.cleaned_data[SEEN]:
                    raise refuse(SEEN, _says_now(form, row))
            except ValidationError:
                _show_as_it_is(form, row, request)
                raise
            return save(form)

    return change_page(request, asking, held, **context)


def _says_now(form: Any, row: models.Model) -> str:
    """What is told where a form came without the state that it showed: what the record says of what was typed."""
    there = [name for name in form.changed_data if name in form.initial and not form[name].is_hidden]
    now = "; ".join(f"{form[name].label}: {_in_words(form.fields[name], form.initial[name])}" for name in there)
    return (
        f"What this form showed of the record did not come with it. It says now: {now or row}. "
        "What you typed still stands below: sent again, it is written over that."
    )


def _in_words(field: Any, value: Any) -> str:
    """A value as the field of a form words it."""
    if value in (None, "", []):
        return "empty"
    if isinstance(field, forms.ModelMultipleChoiceField):
        return ", ".join(map(str, value))
    if isinstance(field, forms.ModelChoiceField):
        rows: Any = field.queryset
        return str(rows.filter(pk=getattr(value, "pk", value)).first() or value)
    if isinstance(value, float):
        return f"{value:.12g}"  # 110, not 110.0
    words = dict(flatten_choices(getattr(field, "choices", ())))
    return str(words.get(value, value))


def _show_as_it_is(form: Any, row: models.Model, request: HttpRequest) -> None:
    """Give a refused form a way on: the address to open it anew, and the state that a second, knowing Save replaces."""
    now: Any = type(row)._base_manager.filter(pk=row.pk).first()
    struck = str(getattr(now, "struck", ""))
    if now is None or struck:
        return
    form.open_anew = request.get_full_path()
    form.data = form.data.copy()
    form.data[form.add_prefix(SEEN)] = state_of(now)


def _reason_name(form: Any) -> str:
    """The field of the reason; a form may have a field ``reason`` of its own that means something else."""
    return "why_corrected" if "reason" in form.base_fields else "reason"


def reason_in(form: Any) -> str:
    """The reason typed into a form of ``correct_page``; empty where none was, and in a form that adds."""
    name = _reason_name(form)
    return str(form.cleaned_data.get(name) or "") if SEEN in form.fields and name in form.fields else ""


def strike_page(
    request: HttpRequest,
    row: Any,
    *,
    back: str,
    make: Callable[[Any], Any] = StrikeForm,
    strike: Callable[[Any], Any] | None = None,
    **context: Any,
) -> HttpResponse:
    """The page that strikes a record out; what somebody corrected meanwhile is looked at again first.

    ``make``, ``strike``: a form that asks more, and what strikes out as that says.
    """

    def save(form: Any) -> tuple[str, str]:
        if strike:
            strike(form)
        else:
            strike_out(row, form.cleaned_data["why"], by=request.user)
        return "Struck out: it stays readable and counts no more.", back

    return correct_page(request, row, make, save, why=NOT_ASKED, act="Strike out", grave=True, back=back, **context)
