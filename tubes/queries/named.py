"""Which type a stamp or a text names."""

from django.core.exceptions import ValidationError

from tubes.models import TubeType
from tubes.queries.marks import Knowledge, knowledge
from tubes.rules.family import form_of
from tubes.rules.schemes import soviet_in_latin
from tubes.rules.stamp import StampAnswer, fold_key
from tubes.rules.this_tube import ThisTube, form_marked, this_tube

MOST_OFFERED = 12  # forms of a number, where the number alone names no type


def tube_for_stamp(answer: StampAnswer, known: Knowledge) -> ThisTube:
    """What a stamp settles of the tube that bears it, and the doubt where it settles no type."""
    return this_tube(answer, known.kin.same_as, known.types)


def type_for_stamp(answer: StampAnswer, known: Knowledge) -> str | None:
    """The one type that a tube with this stamp is, or None where the stamp leaves it open.

    A number that is only a lead, or that names a ruggedized or changed form, is counted under its own mark.
    """
    return tube_for_stamp(answer, known).type


def form_for_stamp(answer: StampAnswer, known: Knowledge) -> str:
    """The form of a known type that a stamp names where it settles no type (6SN7GTA); empty where it names none."""
    return form_marked(answer, tube_for_stamp(answer, known), known.kin.forms, known.types)


def other_meaning(answer: StampAnswer) -> str:
    """Why a stamp with one type among its meanings is not settled, in words behind it; empty where several are named.

    Of the other meaning, a tube that the tables lack, only the note of the reading tells.
    """
    read = [one for one in answer.readings if one.type]
    if not answer.ambiguous or len({one.type for one in read}) != 1:
        return ""
    notes = "; ".join(dict.fromkeys(one.note for one in read if one.note))
    return f" or another tube ({notes})" if notes else ""


def type_named(text: str, known: Knowledge) -> str:
    """The type that a text names: by its name, else by a mark that has one meaning.

    Raises ValueError with one line that names the choices.
    """
    text = text.strip()
    for name in known.types:
        if name.casefold() == text.casefold():
            return name
    answer = known.read(text)
    if found := type_for_stamp(answer, known):
        return found
    meanings = sorted({r.type for r in answer.readings if r.type})
    if meanings:
        why = other_meaning(answer)
        raise ValueError(f"{text!r} can mean {', '.join(meanings)}{why}; write the type that it is.")
    if forms := known.forms_of([fold_key(text)]):
        more = f" and {len(forms) - MOST_OFFERED} more" if len(forms) > MOST_OFFERED else ""
        offered = ", ".join(forms[:MOST_OFFERED])
        raise ValueError(f"{text!r} is a number that comes in forms: {offered}{more}; write the one that it is.")
    if form := form_for_stamp(answer, known):
        of = known.kin.forms.base(form, known.types) or known.kin.forms.others(form)[0]
        raise ValueError(
            f"{form} is not in the tables; by its letters it is a form of {of}. Add it as a type of your own first "
            f"(Tube types, Add a type): what it lacks is taken from {of}; tubes so marked are settled on its page."
        )
    raise ValueError(answer.refused or f"{text!r} is not in the tables; add the type first.")


def type_or_form_named(text: str, known: Knowledge) -> str:
    """As ``type_named``; also a form of a known type that is no type itself, by its letters (6SN7GTA of 6SN7GT).

    Raises ValueError with one line where it is neither, or where the letters may be those of a Soviet tube.
    """
    try:
        return type_named(text, known)
    except ValueError as fault:
        name = "".join(text.split()).upper()
        if form_of(name) is None or not known.kin.forms.others(name):
            raise
        if soviet := soviet_in_latin(fold_key(name)):
            of = known.kin.forms.base(name, known.types) or known.kin.forms.others(name)[0]
            raise ValueError(
                f"{name} is not in the tables: a later issue of {of} by American letters, by Soviet ones ({soviet}) a "
                "subminiature tube of another kind. Add it as a type of your own first (Tube types, Add a type)."
            ) from fault
        return name


def find_type(text: str) -> TubeType:
    """The row of the type that a text names (see ``type_named``). Raises ValidationError."""
    exact = TubeType.objects.filter(name__iexact=text.strip()).first()
    if exact:
        return exact
    try:
        return TubeType.objects.get(name=type_named(text, knowledge()))
    except ValueError as fault:
        raise ValidationError(str(fault)) from fault
