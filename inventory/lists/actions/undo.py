"""One step back: what a list made leaves the register again, as far as nothing has happened to it since."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError, Q, QuerySet
from django.utils import timezone

from inventory.holdings.actions import for_change
from inventory.holdings.models import Fact, HazardCheck, HazardMark, Item, Movement, Place, StockTakeLine
from inventory.holdings.queries.places import took_others_in
from inventory.house.writing import keep_history, person_or_none, refuse
from inventory.lists.actions.own_types import MADE as MADE_TYPES
from inventory.lists.actions.take_in import lock_tags
from inventory.lists.actions.undo_changes import TakenBack, changed_things, undo_changes
from inventory.lists.actions.write import SORTS, reason_of
from inventory.lists.models import ImportMade, ImportRun
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REMARKED, WRITTEN
from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from tubes.models import TubeType

NAMED = 5  # things that a refusal names
AT_ONCE = 400
SHOWN = 20  # things that an answer and the page of a list name
_UNDONE_ON = "Undone on"
OPEN_LINE = Q(outcome="", stock_take__closed__isnull=True)
OWN: tuple[Any, ...] = (ImportMade, Movement, HazardMark, Fact, *SORTS.values())


@transaction.atomic
def undo(run: ImportRun, *, by: Any) -> dict[str, Any]:
    """Take a list out of the register again. Its rows and the history of what it made stay; tags are not given again.

    A thing to which something happened since stays, and is named under ``stays``, as do cells of a list that came back
    which were changed since; the list is then still one that is written, of what stays, and such a list can be undone
    once more. Raises ValidationError that names what changed where nothing of it is untouched.
    """
    lock_tags()
    run = ImportRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
    if run.state != ImportRun.WRITTEN:
        raise refuse("run", f"List {run.pk} is {run.get_state_display()}: there is nothing to undo.")
    made = _locked(run)  # before anybody looks what happened to them
    busy = _busy(run)
    going = [key for key in made if key not in busy]
    reason, now = f"list {run.pk} undone", timezone.now()
    back = undo_changes(run.reason, by=by, told=reason) if run.came_back else TakenBack()
    stays = [*_named(busy), *back.left]
    if stays and not going and not back.cells:
        raise refuse(
            "run",
            f"List {run.pk} cannot be undone any more, since things changed: {'; '.join(_some(stays, NAMED * 2))}. "
            + ("Change what is not right" if run.came_back else "Part with what should not be here")
            + " on its own page.",
        )
    undone = dict.fromkeys(["facts", *SORTS], 0)
    for at in range(0, len(going), AT_ONCE):
        _take_out(going[at : at + AT_ONCE], undone, by=by, reason=reason, at=now)
    left = _remove_besides(run, by=by, reason=reason)
    _close(run, stays, now)
    answer: dict[str, Any] = {"id": run.pk, "file": run.file_name, "undone": undone, "left": left}
    if stays or run.came_back:
        answer["stays"] = _some(stays, SHOWN)
    return answer | {"cells": back.cells} if run.came_back else answer


def _locked(run: ImportRun) -> list[int]:
    """Lock all that the list made or changed, in the order of keys; the keys of what it made."""
    made = sorted(_items(run).values_list("item_id", flat=True))
    keys = sorted({*made} | (changed_things(run.reason) if run.came_back else set()))
    for at in range(0, len(keys), AT_ONCE):
        some = Item.objects.filter(pk__in=keys[at : at + AT_ONCE])
        list(for_change(some, removing=True).values_list("pk"))
    return made


def _take_out(keys: Sequence[int], undone: dict[str, int], *, by: Any, reason: str, at: Any) -> None:
    """Let some things leave the register with all that the list said of them; ``undone`` counts them."""
    _remove(HazardMark, "item_id", keys, by=by, reason=reason, at=at)
    undone["facts"] += _remove(Fact, "item_id", keys, by=by, reason=reason, at=at)
    Movement.objects.filter(item__in=keys)._raw_delete(Movement.objects.db)
    StockTakeLine.objects.filter(OPEN_LINE, item__in=keys).delete()
    HazardCheck.things.through._base_manager.filter(item__in=keys).delete()  # of checks that were struck out
    for kind, sort in SORTS.items():
        undone[kind] += _remove(sort, "item_id", keys, by=by, reason=reason, at=at)
    _remove(Item, "pk", keys, by=by, reason=reason, at=at)
    ImportMade.objects.filter(item_id__in=keys)._raw_delete(ImportMade.objects.db)


def _some(told: Sequence[str], most: int) -> list[str]:
    """The first of some things that are told, and how many more there are."""
    return [*told[:most], *([f"and {len(told) - most} more"] if len(told) > most else [])]


def _close(run: ImportRun, stays: Sequence[str], now: Any) -> None:
    """Say of the list that it is undone; of one of which something stays, which rows are its own still."""
    where = "told" if run.came_back else "notes"
    notes = [one for one in run.counts.get(where, []) if not one.startswith(_UNDONE_ON)]
    run.counts = run.counts | {where: notes}
    if not stays:
        run.state, run.undone_at = ImportRun.UNDONE, now
        run.save(update_fields=["state", "undone_at", "counts"])
        return
    # What left may come in again: by the same file, by a row alike, and nobody counts it.
    run.digest = ""
    notes.append(f"{_UNDONE_ON} {now:%Y-%m-%d} but for what was changed since: {'; '.join(_some(stays, SHOWN))}.")
    waits = run.rows.filter(outcome=HELD, answered_at=None)
    count = waits.update(outcome=NOT_AN_ITEM, question={}, digest="", core="", uncounted="", answered_at=now)
    if count:
        run.counts["held"] = max(0, run.counts.get("held", 0) - count)
        run.counts["not_items"] = run.counts.get("not_items", 0) + count
    run.save(update_fields=["digest", "counts"])
    left = run.rows.filter(outcome__in=(WRITTEN, REMARKED), made__isnull=True)
    left.update(digest="", uncounted="", answered_at=now)


def _busy(run: ImportRun) -> dict[int, list[str]]:
    """Things of a list to which something happened since it was taken in, by their keys, and what."""
    found: dict[int, list[str]] = {}
    for keys, words in _changes(_items(run), reason_of(run)):
        for key in keys.order_by().distinct():
            found.setdefault(key, []).append(words)
    return found


def _named(busy: dict[int, list[str]]) -> list[str]:
    """Each of some things by its tag, with what happened to it, in the order of the tags' keys."""
    found: list[str] = []
    keys = sorted(busy)
    for start in range(0, len(keys), AT_ONCE):
        rows = Item.objects.filter(pk__in=keys[start : start + AT_ONCE]).order_by("pk").values_list("pk", "tag")
        found += [f"{tag} {', '.join(dict.fromkeys(busy[pk]))}" for pk, tag in rows]
    return found


def _items(run: ImportRun) -> QuerySet[Any]:
    """The keys of everything that the list made, as a subquery."""
    return ImportMade.objects.filter(row__run=run).values("item_id")


def changed_since(run: ImportRun) -> list[str]:
    """What happened to things of a list since it was taken in, some of it named; empty where nothing did."""
    found: list[str] = []
    for keys, words in _changes(_items(run), reason_of(run)):
        found += _told(keys, words)
    return list(dict.fromkeys(found))[: NAMED * 2]


def touched(run: ImportRun, keys: Sequence[int]) -> set[int]:
    """Those of some things of a list to which something happened since it was taken in."""
    return {key for changed, _ in _changes(keys, reason_of(run)) for key in changed.order_by()}


def _changes(made: Any, reason: str) -> Iterator[tuple[QuerySet[Any], str]]:
    """(keys of things, what happened to them) of every kind of change; ``made``: the keys of the things in question."""
    for model, key in ((Item, "id"), *((sort, "item_id") for sort in (*SORTS.values(), HazardMark, Fact))):
        rows: Any = model.history.filter(**{f"{key}__in": made}).exclude(history_change_reason=reason)  # type: ignore[attr-defined]
        yield rows.values_list(key, flat=True), "was changed"
    moved = Movement.objects.filter(item__in=made).exclude(reason=reason)
    yield moved.values_list("item_id", flat=True), "was moved"
    for model in (Item, *SORTS.values()):
        for other, name in _relations(model):
            rows = other._base_manager.filter(**{f"{name}__in": made})
            if other is StockTakeLine:  # drawn to be looked for, and nobody has looked yet
                rows = rows.exclude(OPEN_LINE)
            if other is HazardCheck:  # one that was struck out says nothing of them any more
                rows = rows.filter(struck="")
            yield rows.values_list(name, flat=True), f"is named by a {other._meta.verbose_name}"


def _told(keys: Any, words: str) -> Iterator[str]:
    some = list(keys.order_by().distinct()[: NAMED + 1])
    tags = list(Item.objects.filter(pk__in=some[:NAMED]).order_by("pk").values_list("tag", flat=True))
    yield from (f"{tag} {words}" for tag in tags)
    if len(some) > NAMED:
        yield f"and more things: each {words}"


def _relations(model: Any) -> Iterator[tuple[Any, str]]:
    """(model, field) of everything that can point to a row of a model, in every area, but what the list made itself."""
    for relation in model._meta.related_objects:
        if relation.related_model not in OWN and relation.related_model.__name__[:10] != "Historical":
            yield relation.related_model, relation.field.name


def _remove(model: Any, key: str, keys: Sequence[int], *, by: Any, reason: str, at: Any) -> int:
    """Remove the rows of one model with a last history row each; returns how many."""
    rows = list(model._base_manager.filter(**{f"{key}__in": keys}).order_by("pk"))
    keep_history(rows, "-", by=by, reason=reason, at=at)
    if rows:
        model._base_manager.filter(**{f"{key}__in": keys})._raw_delete(model._base_manager.db)
    return len(rows)


def _remove_besides(run: ImportRun, *, by: Any, reason: str) -> list[str]:
    """Remove models, types and places that the list made, if nothing uses or changed them; names those that stay."""
    left: list[str] = []
    sorts: Sequence[tuple[str, Any]] = (
        ("made_companion_kinds", CompanionKind),
        ("made_unit_models", UnitModel),
        ("made_set_models", SetModel),
        ("made_places", Place),
        (MADE_TYPES, TubeType),
    )
    for name, model in sorts:
        rows = model.objects.filter(pk__in=run.counts.get(name, [])[:]).order_by("-pk")
        for row in rows:  # the last made first: a place before the one above it
            if _changed(row) or not _delete(row, by, reason):
                left.append(str(row))
    return left


def _changed(row: Any) -> bool:
    """Whether somebody changed it since, or let another place go up in it."""
    return row.history.count() > 1 or (isinstance(row, Place) and took_others_in(row))


def _delete(row: Any, by: Any, reason: str) -> bool:
    if any(
        relation.related_model._base_manager.filter(**{relation.field.name: row}).exists()
        for relation in row._meta.related_objects
        if relation.related_model.__name__[:10] != "Historical"
    ):
        return False
    row._history_user = person_or_none(by)
    row._change_reason = reason
    try:
        with transaction.atomic():
            row.delete()
    except ProtectedError:
        return False
    return True
