"""One step back: what a list that came back changed is as it was before, where nobody changed it since.

By the history: every row that the list changed says so as its reason. A column that says something else by now stays
as it is and is named; so does the place of a thing that was moved again.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import Item, Movement
from inventory.house.writing import write
from inventory.lists.actions.write import SORTS

AT_ONCE = 400  # rows
PLACED = ("place_id", "seen_on", "missed_on")  # what a move writes of a thing


@dataclass
class TakenBack:
    """How many cells are as they were before, and what stays, in words."""

    cells: int = 0
    left: list[str] = field(default_factory=list)


def undo_changes(reason: str, *, by: Any, told: str) -> TakenBack:
    """Take back all changes whose history gives that reason. ``told``: the reason of the way back.

    Within a transaction of the caller's.
    """
    back = TakenBack()
    for model, key in ((Item, "id"), *((sort, "item_id") for sort in SORTS.values())):
        for keys in _parts(_changed(model, key, reason)):
            _take_back(model, key, keys, reason, by, told, back)
    return back


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
    records: dict[int, list[Any]] = defaultdict(list)
    for record in model.history.filter(**{f"{key}__in": keys}).order_by("history_id"):
        records[getattr(record, key)].append(record)
    moves = _last_moves(keys, reason) if model is Item else {}
    for pk in keys:
        tag = items[pk].tag if pk in items else f"a thing that left the register ({pk})"
        if pk not in rows:
            back.left.append(f"{tag}: it is not there any more")
            continue
        before, after = _ends(records[pk], reason)
        if before is None or after is None:
            continue
        names = [one.attname for one in model._meta.concrete_fields if not one.primary_key]
        changed = [name for name in names if getattr(before, name) != getattr(after, name)]
        row = rows[pk]
        stays = {name for name in changed if getattr(row, name) != getattr(after, name)}
        if model is Item and "place_id" in changed and (stays or not moves.get(pk)):  # moved again, or seen there since
            stays |= {name for name in PLACED if name in changed}
        wanted = [name for name in changed if name not in stays]
        told_of = {name: str(model._meta.get_field(name.removesuffix("_id")).verbose_name) for name in changed}
        if stays:
            back.left.append(f"{tag}: {', '.join(told_of[name] for name in sorted(stays))} changed since")
        if not wanted:
            continue
        for name in wanted:
            setattr(row, name, getattr(before, name))
        try:
            with transaction.atomic():
                write(row, by=by, reason=told)
                if model is Item and "place_id" in wanted:
                    Movement.objects.filter(pk__in=moves[pk])._raw_delete(Movement.objects.db)
        except ValidationError as refusal:
            back.left.append(f"{tag}: {' '.join(refusal.messages)}")
            continue
        back.cells += len([name for name in wanted if name not in ("seen_on", "missed_on")])


def _ends(records: Sequence[Any], reason: str) -> tuple[Any, Any]:
    """(the last record before the first that gives the reason, the last one that gives it)."""
    ours = [at for at, one in enumerate(records) if _is_of(one, reason) and one.history_type == "~"]
    if not ours or ours[0] == 0:
        return None, None
    return records[ours[0] - 1], records[ours[-1]]


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
