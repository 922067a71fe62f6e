"""One step back: what a list that came back changed is as it was before, where nobody changed it since.

By the history: every row that the list changed says so as its reason. A column that says something else by now stays
as it is and is named; so does one that was changed and changed again, the place of a thing that was moved again, the
state of a tube that was tested since, and all of a thing that left, was lent or went into a set since. What says
already what it said before is done.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from itertools import pairwise
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import Item, Movement, Tube
from inventory.house.writing import write
from inventory.lists.actions.edited_facts import take_facts_back, things_said_of
from inventory.lists.actions.write import SORTS
from inventory.lists.queries.since import away_since, tested_since

AT_ONCE = 400  # rows
PLACED = ("place_id", "seen_on", "missed_on")  # what a move writes of a thing
_UNDONE = re.compile(r"list \d+ undone")  # the reason of a way back, see ``undo.undone_reason``


@dataclass
class TakenBack:
    """How many cells are as they were before, and what stays, in words."""

    cells: int = 0
    left: list[str] = field(default_factory=list)


class _Change:
    """What a list changed of one row, column by column: by the records of the row, and which of them are the list's."""

    def __init__(self, records: Sequence[Any], ours: Sequence[int]) -> None:
        self.records, self.ours = records, ours
        self.at: datetime = records[ours[-1]].history_date

    def before(self, model: Any) -> dict[str, Any]:
        """The columns that it changed, with what each said before."""
        names = [one.attname for one in model._meta.concrete_fields if not one.primary_key]
        found = {name: getattr(self.records[self._first(name) - 1], name) for name in names if self._steps(name)}
        return {name: value for name, value in found.items() if value != self.after(name)}

    def after(self, name: str) -> Any:
        """What it let a column say."""
        return getattr(self.records[self._steps(name)[-1]], name)

    def changed_again(self, name: str) -> bool:
        """Whether a column was changed after the list, be it back and forth; not by a list that was taken back."""
        later = [at for at in range(self._steps(name)[-1] + 1, len(self.records)) if self._changes(at, name)]
        return bool(later) and not _UNDONE.fullmatch(self.records[later[-1]].history_change_reason or "")

    def said_again(self, names: Sequence[str]) -> bool:
        """Whether the row was written once more as it stood: somebody looked and confirmed it."""
        later = self.records[self.ours[-1] :]
        return any(all(getattr(one, name) == getattr(other, name) for name in names) for one, other in pairwise(later))

    def _changes(self, at: int, name: str) -> bool:
        return bool(getattr(self.records[at], name) != getattr(self.records[at - 1], name))

    def _steps(self, name: str) -> list[int]:
        """The records by which the list changed a column: one, or more where conflicts were settled later."""
        return [at for at in self.ours if self._changes(at, name)]

    def _first(self, name: str) -> int:
        """The first of them behind which nobody else changed the column."""
        first, *earlier = reversed(self._steps(name))
        for at in earlier:
            if any(self._changes(between, name) for between in range(at + 1, first)):
                break
            first = at
        return first


def undo_changes(reason: str, *, by: Any, told: str) -> TakenBack:
    """Take back all changes whose history gives that reason. ``told``: the reason of the way back.

    Within a transaction of the caller's.
    """
    back = TakenBack()
    for model, key in _models():
        for keys in _parts(_changed(model, key, reason)):
            _take_back(model, key, keys, reason, by, told, back)
    cells, stays = take_facts_back(partial(of_reason, reason), by=by, told=told, at=timezone.now())
    back.cells += cells
    back.left += stays
    return back


def changed_things(reason: str) -> set[int]:
    """The keys of all things that the history says were changed for that reason."""
    columns = {pk for model, key in _models() for pk in _changed(model, key, reason)}
    return columns | things_said_of(partial(of_reason, reason))


def _models() -> tuple[tuple[Any, str], ...]:
    return ((Item, "id"), *((sort, "item_id") for sort in SORTS.values()))


def of_reason(reason: str, field_name: str = "history_change_reason") -> Q:
    """Rows that were written for that reason, with words of the keeper's behind it or none."""
    return Q(**{field_name: reason}) | Q(**{f"{field_name}__startswith": f"{reason}: "})


def _changed(model: Any, key: str, reason: str) -> list[int]:
    rows = model.history.filter(of_reason(reason), history_type="~").order_by()
    return sorted(set(rows.values_list(key, flat=True)))


def _parts(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    yield from (keys[at : at + AT_ONCE] for at in range(0, len(keys), AT_ONCE))


def _take_back(model: Any, key: str, keys: Sequence[int], reason: str, by: Any, told: str, back: TakenBack) -> None:
    items = {item.pk: item for item in locked_all(Item.objects.filter(pk__in=keys))}
    rows = items if model is Item else {row.pk: row for row in model.objects.filter(pk__in=keys).select_for_update()}
    changes = _changes(model, key, keys, reason)
    at = {pk: change.at for pk, change in changes.items()}
    away = away_since(items.values(), at)
    tested = tested_since(at) if model is Tube else set()
    moves = _last_moves(keys, reason) if model is Item else {}
    for pk, change in changes.items():
        tag = items[pk].tag if pk in items else f"a thing that left the register ({pk})"
        if pk not in rows:
            back.left.append(f"{tag}: it is not there any more")
            continue
        before = _not_done(rows[pk], change, model)
        wanted = list(before)
        stays = _stays(rows[pk], change, wanted, tested=pk in tested)
        if "place_id" in wanted and model is Item and (stays or not moves.get(pk)):  # moved again, or seen there since
            stays |= {name for name in PLACED if name in wanted}
        if wanted and pk in away:
            back.left.append(f"{tag}: {away[pk]}")
            continue
        if stays:
            names = ", ".join(_words(model, name) for name in sorted(stays))
            back.left.append(f"{tag}: {names} changed since")
        wanted = [name for name in wanted if name not in stays]
        if wanted:
            _write_back(rows[pk], {name: before[name] for name in wanted}, tag, moves, by, told, back)


def _not_done(row: Any, change: _Change, model: Any) -> dict[str, Any]:
    """The columns that the list changed and that do not say what they said before, with that. A place goes with its
    days.
    """
    before = change.before(model)
    wanted = {name: value for name, value in before.items() if getattr(row, name) != value}
    if model is Item and "place_id" in before and "place_id" not in wanted:
        return {name: value for name, value in wanted.items() if name not in PLACED}
    return wanted


def _stays(row: Any, change: _Change, wanted: Sequence[str], *, tested: bool) -> set[str]:
    """Those of some columns that say by now what somebody said after the list."""
    stays = {name for name in wanted if getattr(row, name) != change.after(name) or change.changed_again(name)}
    if "state" in wanted and isinstance(row, Tube):
        names = [one.attname for one in Tube._meta.concrete_fields]
        stays |= {"state"} if tested or change.said_again(names) else set()
    return stays


def _words(model: Any, name: str) -> str:
    return str(model._meta.get_field(name.removesuffix("_id")).verbose_name)


def _write_back(
    row: Any, before: Mapping[str, Any], tag: str, moves: Mapping[int, Sequence[int]], by: Any, told: str,
    back: TakenBack,
) -> None:  # fmt: skip
    for name, value in before.items():
        setattr(row, name, value)
    try:
        with transaction.atomic():
            write(row, by=by, reason=told)
            if isinstance(row, Item) and "place_id" in before:
                Movement.objects.filter(pk__in=moves[row.pk])._raw_delete(Movement.objects.db)
    except ValidationError as refusal:
        back.left.append(f"{tag}: {' '.join(refusal.messages)}")
        return
    back.cells += len([name for name in before if name not in ("seen_on", "missed_on")])


def _changes(model: Any, key: str, keys: Sequence[int], reason: str) -> dict[int, _Change]:
    """What the list changed of each row, by key."""
    records: dict[int, list[Any]] = defaultdict(list)
    for record in model.history.filter(**{f"{key}__in": keys}).order_by("history_id"):
        records[getattr(record, key)].append(record)
    found = {}
    for pk in keys:
        ours = [at for at, one in enumerate(records[pk]) if _is_of(one, reason) and one.history_type == "~"]
        if ours and ours[0]:
            found[pk] = _Change(records[pk], ours)
    return found


def _is_of(record: models.Model, reason: str) -> bool:
    told = str(getattr(record, "history_change_reason", "") or "")
    return told == reason or told.startswith(f"{reason}: ")


def _last_moves(keys: Sequence[int], reason: str) -> dict[int, list[int]]:
    """The moves that the list filed, by things that nobody moved since."""
    filed: dict[int, list[int]] = defaultdict(list)
    for pk, item, why in Movement.objects.filter(item__in=keys).order_by("pk").values_list("pk", "item_id", "reason"):
        if why == reason or why.startswith(f"{reason}: "):
            filed[item].append(pk)
        else:
            filed.pop(item, None)  # an older one, or a later one: then none of ours is the last
    return filed
