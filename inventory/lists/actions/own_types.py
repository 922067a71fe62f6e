"""Types of tubes that a keeper names while a list comes in."""

from collections.abc import Iterable
from typing import Any

from inventory.house.writing import refuse
from inventory.lists.actions.types import CHOSEN, LONGEST_TYPE, OWN_TYPE
from inventory.lists.models import ImportRun
from tubes.actions import save_type
from tubes.models import TubeType
from tubes.queries import knowledge, type_for_stamp
from tubes.rules.stamp import fold_key

MADE = "made_types"  # among the counts of a list: what an undo takes away again where nothing uses it
NAMED = 6  # types that a refusal names


def type_named(name: str) -> str:
    """The answer that a name stands for: a type of the tables in any writing, else a type of the keeper's own.

    Raises ValidationError for a name that several types bear, or that only begins those of several.
    """
    name = " ".join(name.replace("\0", "").split())
    if not name or len(name) > LONGEST_TYPE:
        raise refuse("answer", f"Give the name of the type, up to {LONGEST_TYPE} letters.")
    known = knowledge()
    for here in known.types:
        if here.casefold() == name.casefold():
            return f"{CHOSEN}{here}"
    answer = known.read(name)
    if answer.leftover.strip():  # words beside a number: a name of the keeper's own
        return f"{OWN_TYPE}{name}"
    if here := type_for_stamp(answer, known) or "":
        return f"{CHOSEN}{here}"
    meanings = sorted({one.type for one in answer.readings if one.type}) or list(known.forms_of([fold_key(name)]))
    if meanings:
        more = f" and {len(meanings) - NAMED} more" if len(meanings) > NAMED else ""
        told = f"{name!r} can be {', '.join(meanings[:NAMED])}{more}: give the one that it is"
        raise refuse("answer", f"{told}; a type of your own of that name is added on the page of tube types.")
    return f"{OWN_TYPE}{name}"


def make_types(run: ImportRun, answers: Iterable[tuple[int, dict[str, str]]], *, by: Any) -> dict[str, int]:
    """Make what a keeper named for rows of a list types of its own, unless they were made since; their keys by name.

    ``answers``: by the number of the row. Within a transaction of the caller's, who saves the list: its counts say
    which types it made.
    """
    keys: dict[str, int] = {}
    for row, given in answers:
        chosen = given.get("mark", "")
        name = chosen.removeprefix(OWN_TYPE)
        if not chosen.startswith(OWN_TYPE) or name in keys:
            continue
        here = TubeType.objects.filter(name=name).first()
        if here is None:
            here = save_type(TubeType(name=name), by=by, reason=f"named by list {run.pk} row {row}")
            run.counts = run.counts | {MADE: [*run.counts.get(MADE, []), here.pk]}
        keys[name] = here.pk
    return keys
