"""A thing changed as the cells of a list say, through the form and the action of its own page.

Each cell is written or refused for itself: what a form or an action says against one leaves the others.
"""

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils import timezone

from inventory.holdings.actions import change_parts, change_tube
from inventory.holdings.actions.parts import kind_of_columns
from inventory.holdings.actions.settling import with_marked_type
from inventory.holdings.forms import PartLotForm, TubeForm
from inventory.holdings.models import PartLot, Tube
from inventory.holdings.rules.part_cells import FIGURES, read_cells
from inventory.lists.actions.edited_facts import NUMBER, SAID, SAID_ELSEWHERE, say_cell
from inventory.lists.rules import fields as f
from inventory.lists.rules.own_lists import OWN_LISTS, STANDING_COLUMNS
from inventory.lists.rules.rewriting import days_of, may_say, plain
from inventory.pairing.actions import change_companion
from inventory.pairing.forms import CompanionForm
from inventory.pairing.models import Companion
from inventory.sets.actions import change_serialled
from inventory.sets.forms import ChassisForm, UnitForm
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel

#: Columns that are worked out or belong to another page, and where they are changed.
ELSEWHERE = {
    "Tag": "a tag is given once and stays",
    "In doubt": "it comes from the last tests",
    "Reserved": "plans reserve on their own pages",
    "In chassis": "tubes and units go in and out on the page of the set",
    "Position": "tubes and units go in and out on the page of the set",
    "Bay": "tubes and units go in and out on the page of the set",
    "Kept with": "change it on the page of the thing",
    "Lent to": "lend it, or take it back, on its page",
    "Last seen": "moves and stock-takes say it",
    "Not found on": "stock-takes say it",
    "Left on": "part with it on its page",
    "How it left": "part with it on its page",
    **dict.fromkeys(
        ("Acquired how (as found)", "Acquired from (as found)", "Acquired (as found)", "Evidence of title"),
        "it is said on the page of the thing, under how it came",
    ),
    **dict.fromkeys(("Why it left", "Authorised by", "Went to", "Proceeds"), "it is said on the page of how it left"),
    "Owner": "loans say it",
    "To be given back": "its loan sheet says it",
    **SAID_ELSEWHERE,
    **dict.fromkeys(STANDING_COLUMNS[2:], "it is written when somebody looks at it, on its page"),
}
OTHERWISE = "it is not changed from a list; change it on the page of the thing"
PLACE = "Place"
_YES, _NO = {"yes", "true", "1", "x", "ja", "oui", "sí", "si"}, {"", "no", "false", "0", "nein", "non", "nee"}
_PART_KIND = "Kind of part"


def _as_found(text: str) -> str:
    return text


def _day(text: str) -> str:
    days = sorted(one.removeprefix("d:") for one in days_of(text))
    here = [one for one in days if one <= timezone.localdate().isoformat()] or days
    if len(here) > 1:
        raise ValueError(f"{text} can be {' or '.join(here)}; write it so")
    return here[0] if here else text


def _figure(text: str) -> str:
    """A number as a form takes it, also where a spreadsheet wrote a comma."""
    told = sorted(one for one in may_say(text) if one.startswith("n:"))
    if len(told) > 1:
        raise ValueError(f"{text} can be two numbers; write it without a sign between the thousands")
    return format(Decimal(told[0].removeprefix("n:")), "f") if told else text


def _whether(text: str) -> str:
    if text.casefold() in _YES | _NO:
        return "on" if text.casefold() in _YES else ""
    raise ValueError(f"{text!r}: expected yes or no")


def _one_of(model: Any, name: str) -> Callable[[str], str]:
    """A choice of a column by its key or its words, in any case."""

    def read(text: str) -> str:
        choices = model._meta.get_field(name).choices
        found = [key for key, words in choices if text.casefold() in (key.casefold(), str(words).casefold())]
        if not found:
            raise ValueError(f"{text!r}: expected {', '.join(key for key, _ in choices)}")
        return str(found[0])

    return read


def _named(model: Any) -> Callable[[str], str]:
    def read(text: str) -> str:
        row = model.objects.filter(name__iexact=text).first()
        if row is None:
            raise ValueError(f"there is no {model._meta.verbose_name} {text}; add it first")
        return str(row.pk)

    return read


@dataclass(frozen=True)
class Edited:
    """How the rows of a list are changed: heading to (field of the form, how its cell is read)."""

    model: Any
    form: Any
    fields: Mapping[str, tuple[str, Callable[[str], str]]]
    change: Callable[..., Any]
    beside: Mapping[str, str] = field(default_factory=dict)  # heading to what it is of a kind of part

    @property
    def headings(self) -> frozenset[str]:
        """The columns that can be changed."""
        return frozenset({PLACE, *self.fields, *self.beside, *SAID})


def _tube(row: Tube, cells: Mapping[str, str], *, by: Any, reason: str) -> str:
    """A mark that is another is read where there is no type; a type that the keeper took away stays away."""
    told = ""
    if ("Marked" in cells and "Type" not in cells) or cells.get("Type", "").strip():
        row, told = with_marked_type(row)
    change_tube(row, by=by, reason=reason)
    return told.strip()


def _plainly(action: Callable[..., Any]) -> Callable[..., str]:
    def change(row: Any, cells: Mapping[str, str], *, by: Any, reason: str) -> str:
        action(row, by=by, reason=reason)
        return ""

    return change


_PLATE = {"Serial": ("serial", _as_found), "Note": ("note", _as_found)}
_PARTS = next(one for one in OWN_LISTS if one.kind == f.PARTS)
EDITED: dict[str, Edited] = {
    f.TUBES: Edited(
        Tube, TubeForm,
        {
            "Type": ("type", _as_found), "Marked": ("marked", _as_found), "Maker": ("maker", _as_found),
            "Date code": ("date_code", _as_found), "State": ("state", _one_of(Tube, "state")),
            "Condition": ("condition", _as_found), "Acquired on": ("acquired_on", _day),
            "Acquired how": ("acquired_how", _as_found), "Acquired from": ("acquired_from", _as_found),
            "Note": ("note", _as_found),
        },
        _tube,
    ),
    f.PARTS: Edited(
        PartLot, PartLotForm,
        {
            "What": ("name", _as_found), "Value or type": ("value", _as_found), "Serial": ("serial", _as_found),
            "Maker": ("maker", _as_found), "At least": ("least", _figure), "At most": ("most", _figure),
            "Duds": ("duds", _figure), "To count": ("to_count", _whether), "Condition": ("condition", _as_found),
            "Note": ("note", _as_found),
        },
        _plainly(change_parts),
        {heading: one for heading, one in _PARTS.columns.items() if one in f.PART_TYPE},
    ),
    f.CHASSIS: Edited(
        Chassis, ChassisForm,
        {
            "Set model": ("model", _named(SetModel)), **_PLATE,
            "Plate": ("serial_reading", _one_of(Chassis, "serial_reading")),
        },
        _plainly(change_serialled),
    ),
    f.UNITS: Edited(
        PlugInUnit, UnitForm,
        {
            "Unit model": ("model", _named(UnitModel)), **_PLATE,
            "Plate": ("serial_reading", _one_of(PlugInUnit, "serial_reading")),
        },
        _plainly(change_serialled),
    ),
    f.COMPANIONS: Edited(
        Companion, CompanionForm,
        {
            **_PLATE, "Plate": ("serial_reading", _one_of(Companion, "serial_reading")),
            "Belongs to serial": ("mate_serial", _as_found),
            "That number": ("mate_reading", _one_of(Companion, "mate_reading")),
        },
        _plainly(change_companion),
    ),
}  # fmt: skip


@dataclass
class Done:
    """What became of the cells of a thing: those refused with the reason, and what is to be said."""

    held: dict[str, str] = field(default_factory=dict)
    told: str = ""


def write_cells(kind: Edited, row: Any, now: Mapping[str, str], cells: Mapping[str, str], *, by: Any,
                reason: str) -> Done:  # fmt: skip
    """Change a thing, locked before, as some cells say. ``now``: all of its cells as the list out says them.

    Its place and the keeper's own number of it are not changed here: they go with those of other things.
    """
    done, left = Done(), {heading: cell for heading, cell in cells.items() if heading not in (PLACE, *SAID)}
    _say(row, {heading: cells[heading] for heading in SAID if heading in cells and heading != NUMBER}, done, by, reason)
    while left:
        refused, told = _tried(kind, row, now, left, by, reason)
        if not refused:
            done.told = told
            break
        named = {heading: why for heading, why in refused.items() if heading in left}
        done.held |= named or dict.fromkeys(left, next(iter(refused.values())))
        left = {heading: cell for heading, cell in left.items() if heading not in done.held}
    return done


def _say(row: Any, cells: Mapping[str, str], done: Done, by: Any, reason: str) -> None:
    """Write what is said of a thing beside its columns, each for itself."""
    for heading, cell in cells.items():
        try:
            with transaction.atomic():
                say_cell(row.item, heading, plain(cell), by=by, today=timezone.localdate(), reason=reason)
        except ValidationError as refusal:
            done.held[heading] = " ".join(refusal.messages)


def _tried(
    kind: Edited, row: Any, now: Mapping[str, str], cells: Mapping[str, str], by: Any, reason: str
) -> tuple[dict[str, str], str]:
    """(why each cell is refused, what is to be said). Where any is refused, nothing is written."""
    fresh = copy.copy(row)
    form_cells, refused = _form_cells(kind, cells)
    if refused:
        return refused, ""
    names = {kind.fields[heading][0]: heading for heading in cells if heading in kind.fields}
    form = kind.form({**_shown(kind.form, copy.copy(row)), **form_cells}, instance=copy.copy(row))
    if not form.is_valid():
        return {names.get(name, "__all__"): " ".join(map(str, told)) for name, told in form.errors.items()}, ""
    for name in names:
        setattr(fresh, name, form.cleaned_data[name])
    try:
        with transaction.atomic():
            beside = [heading for heading in cells if heading in kind.beside]
            if beside and (why := _other_kind_of_part(kind, fresh, now, cells, by)):
                return dict.fromkeys(beside, why), ""
            return {}, kind.change(fresh, cells, by=by, reason=reason)
    except ValidationError as refusal:
        told = refusal.message_dict if hasattr(refusal, "error_dict") else {"__all__": refusal.messages}
        return {names.get(name, "__all__"): " ".join(texts) for name, texts in told.items()}, ""


def _form_cells(kind: Edited, cells: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """(what the form gets, why a cell cannot be read)."""
    got, refused = {}, {}
    for heading, cell in cells.items():
        if heading in kind.fields:
            name, read = kind.fields[heading]
            try:
                got[name] = read(plain(cell))
            except ValueError as fault:
                refused[heading] = str(fault)
    return got, refused


def _shown(form: Any, row: models.Model) -> dict[str, Any]:
    """What the form of a page holds of a row, as it would be sent back."""
    shown = form(instance=row)
    told = {name: shown[name].value() for name in shown.fields}
    if "quantity" in told and isinstance(row, PartLot):  # a form shows a counted lot by its quantity alone
        told |= {"quantity": None, "least": row.least, "most": row.most}
    return {name: _sent(value) for name, value in told.items()}


def _sent(value: Any) -> Any:
    """A value as a browser sends it back: a tick, or nothing."""
    if value is True:
        return "on"
    return "" if value is None or value is False else value


def _other_kind_of_part(kind: Edited, row: Any, now: Mapping[str, str], cells: Mapping[str, str], by: Any) -> str:
    """Give a lot the kind of part that its cells state; why not, where they state none."""
    told = {}
    try:
        for heading, what in kind.beside.items():
            cell = plain(cells.get(heading, now.get(heading, "")))
            told[what] = _figure(cell) if what in FIGURES else cell
        columns = read_cells(told)
        if not columns and any(cells[heading].strip() for heading in cells if heading in kind.beside):
            return f"{_PART_KIND} is empty: give the kind too"
        row.type = kind_of_columns(columns, by=by) if columns else None
    except ValueError as fault:
        return str(fault)
    except ValidationError as refusal:
        return " ".join(refusal.messages)
    return ""
