"""Changes of tube knowledge: the reference tables in (``load``), the keeper's own rows on top."""

from typing import Any
from urllib.parse import unquote

from django.db import transaction
from django.urls import NoReverseMatch, Resolver404, get_script_prefix, resolve, reverse

from inventory.house.writing import refuse, remove, write
from tubes.actions.load import LoadResult, load_reference, tables_in
from tubes.actions.ratings import save_rating
from tubes.actions.sheets import drop_rating, save_sheet, text_named
from tubes.models import KEEPER, TABLE, Designation, Limit, Source, TubeType
from tubes.queries.judging import limits
from tubes.rules.limits import value_fault

__all__ = [
    "LoadResult", "drop_designation", "drop_limit", "drop_rating", "load_reference", "save_designation", "save_limit",
    "save_rating", "save_sheet", "save_source", "save_type", "tables_in", "text_named",
]  # fmt: skip


@transaction.atomic
def save_source(source: Source, *, by: Any) -> Source:
    """Write a text of the keeper's own."""
    if source.pk and source.origin == TABLE:
        raise refuse("key", "This text belongs to the reference tables; add one of your own under another key.")
    source.origin = KEEPER
    return write(source, by=by)


@transaction.atomic
def save_type(row: TubeType, *, by: Any, reason: str = "") -> TubeType:
    """Write a type of the keeper's own, or the hazard words of any type."""
    if not row.pk:
        row.origin = KEEPER
    if wrong := _not_in_an_address(row.name):
        raise refuse("name", f"{wrong} Write the type as it is printed, in one line.")
    return write(row, by=by, reason=reason)


def _not_in_an_address(name: str) -> str:
    """Why a type of this name would have no page of its own; empty where it has one."""
    if hidden := next((sign for sign in name if not sign.isprintable()), ""):
        return f"Between {name.split(hidden)[0][-10:]!r} and what follows stands a sign that is not seen ({hidden!a})."
    if {"", ".", ".."} & set(name.split("/")):
        return f"Of {name!r} a part between strokes is empty or only points, which no address keeps."
    try:
        address = unquote(reverse("tubes:type", args=[name]))
        found = resolve(f"/{address.removeprefix(get_script_prefix())}")  # where the site lies is no part of the route
    except (NoReverseMatch, Resolver404):
        found = None
    if found is None or found.view_name != "tubes:type" or found.kwargs.get("name") != name:
        return f"{name!r} would lead to another page."
    return ""


@transaction.atomic
def save_designation(row: Designation, *, by: Any, reason: str = "") -> Designation:
    """Write a designation of the keeper's own; it stands over the tables' row for the same type, scheme and mark."""
    if row.pk and row.origin == TABLE:
        row.pk, row._state.adding = None, True
    row.origin = KEEPER
    return write(row, by=by, reason=reason)


@transaction.atomic
def drop_designation(row: Designation, *, by: Any) -> None:
    """Take back a designation of the keeper's own; the tables' row, if any, stands again."""
    if row.origin == TABLE:
        raise refuse(
            "designation", "A row of the tables stays; to contradict it, add your own with relation 'refuted'."
        )
    remove(row, by=by)


@transaction.atomic
def save_limit(row: Limit, *, by: Any, reason: str = "") -> Limit:
    """Write a limit of the keeper's own; it stands before the tables' row of the same key, which must be there."""
    there = Limit.objects.filter(key=row.key, origin=TABLE).first()
    if there is None:
        raise refuse("key", f"{row.key!r} is no limit that a rule asks for.")
    if wrong := value_fault(row.key, row.value, limits()):
        raise refuse("value", f"{wrong}.")
    if row.pk and row.origin == TABLE:
        row.pk, row._state.adding = None, True
    row.origin, row.unit, row.meaning = KEEPER, there.unit, there.meaning
    return write(row, by=by, reason=reason)


@transaction.atomic
def drop_limit(row: Limit, *, by: Any) -> None:
    """Take back a limit of the keeper's own; the tables' figure stands again, which must suit the others in force."""
    if row.origin == TABLE:
        raise refuse("key", "A limit of the tables stays; write one of your own to stand before it.")
    there = Limit.objects.filter(key=row.key, origin=TABLE).first()
    if there is not None and (wrong := value_fault(row.key, there.value, limits())):
        raise refuse("value", f"The tables' figure cannot stand again: {wrong}.")
    remove(row, by=by)
