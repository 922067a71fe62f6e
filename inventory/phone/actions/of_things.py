"""Entries of a phone on the register: a tube by its stamp, a move, a state, a note, a thing of a stock-take."""

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import change_tube, locked, move, scan
from inventory.holdings.actions.shelf import add_from_shelf
from inventory.holdings.forms import MoveForm, ShelfForm
from inventory.holdings.models import Item, Place, StockTake, Tube
from inventory.holdings.queries.shelf import shelf_line
from inventory.holdings.wording.moves import moved_words
from inventory.house.keys import key_of
from inventory.house.writing import refuse
from inventory.phone.actions.taking import StandsOtherwise, Taken, cells_of, cleaned, place_of, thing_of
from inventory.phone.rules.entries import Entry, clash_of
from inventory.running.actions import set_state


def take_tube(entry: Entry, by: Any, on: date) -> Taken:
    """New tubes by their stamp, as in a shelf session."""
    usual = {"state": Tube.UNTESTED, "count": "1"}
    line = shelf_line(entry.cells.get("marked", ""))
    typed = entry.cells.get("count", "").strip() or "1"
    if line.count and typed not in ("1", str(line.count)):
        raise refuse("count", f"The line says {line.count}, and here stands {typed}; leave one out.")
    parted = {"marked": line.stamp} | ({"count": str(line.count)} if line.count else {})
    form = cleaned(ShelfForm(usual | cells_of(entry, on, **parted)))
    cells = form.cleaned_data
    made = add_from_shelf(
        form.save(commit=False), entry.cells.get("choice", ""), count=cells["count"], place=cells["place"], by=by, on=on
    )
    return Taken(f"{made.tags} added. {made.says}", made.tubes[0].get_absolute_url())


def take_move(entry: Entry, by: Any, on: date) -> Taken:
    """A thing to a place, unless it was moved here after the entry was written."""
    item = locked(thing_of(entry))
    cells = cleaned(MoveForm(cells_of(entry, on))).cleaned_data
    here, yours = _path(item.place), _path(cells["place"])
    old = _resolved(entry.seen["place"]) if "place" in entry.seen else _path_then(item, entry)
    if clash := clash_of("place", old=old, yours=yours, here=here):
        raise StandsOtherwise([clash])
    if here == yours and old != here:
        return Taken(f"{item.tag} stands there already: {here or 'no place'}.", item.get_absolute_url())
    if old == here and "place" in entry.seen and item.movements.filter(on__gt=on).exists():
        on = timezone.localdate()  # said over what later moves came to: as of today it stands there
    move([item], cells["place"], on=on, by=by, reason=cells["reason"], apart=cells["reason"])
    return Taken(moved_words(item, cells["place"]), item.get_absolute_url())


def take_state(entry: Entry, by: Any, on: date) -> Taken:
    """The keeper's word on a tube, unless another was said here after the entry was written."""
    tube = _tube(entry)
    yours = entry.cells.get("state", "")
    old = entry.seen.get("state") or _as_it_was(Tube.history.filter(item_id=tube.pk), "state", entry) or tube.state
    if clash := clash_of("state", old=old, yours=yours, here=tube.state):
        raise StandsOtherwise([clash])
    set_state(tube, yours, by=by, reason=f"said at the shelf on {on}", was=tube.state)
    return Taken(f"{tube.tag} is {yours} now.", tube.get_absolute_url())


def take_note(entry: Entry, by: Any, on: date) -> Taken:
    """A note below the ones that stand there: nothing that was written meanwhile is written over."""
    text = entry.cells.get("text", "").strip()
    if not text:
        raise refuse("text", "Write the note.")
    tube = _tube(entry)
    tube.note = "\n".join(filter(None, [tube.note.rstrip(), f"{on}: {text}"]))
    change_tube(tube, by=by, reason="noted at the shelf")
    return Taken(f"Noted on {tube.tag}.", tube.get_absolute_url())


def take_count(entry: Entry, by: Any, on: date) -> Taken:
    """A thing that was seen at an open stock-take."""
    key = key_of(entry.cells.get("take", ""))
    take = StockTake.objects.filter(pk=key).first() if key is not None else None
    if take is None:
        raise refuse("take", "That stock-take is not there any more; choose one that is open.")
    line = scan(take, entry.cells.get("tag", ""), on=on, by=by, at=place_of(entry.cells.get("at", ""), "at"))
    told = f"{line.item.tag}: {line.get_outcome_display()}"
    return Taken(f"{told} ({take}).", reverse("holdings:place-count", args=[take.pk]))


def _tube(entry: Entry) -> Tube:
    """The tube of an entry, it and its thing locked as they stand now."""
    item = locked(thing_of(entry))
    tube = Tube.objects.select_for_update(of=("self",), no_key=True).filter(item=item).first()
    if tube is None:
        raise refuse("tag", f"{item.tag} is no tube.")
    return Tube.objects.select_related("item", "type").get(pk=tube.pk)


def _path(place: Place | None) -> str:
    return place.path if place else ""


def _resolved(text: str) -> str:
    """The path of a place as an entry saw it: an entry before it may have named it by its code or its label."""
    try:
        return _path(place_of(text))
    except ValidationError:
        return text  # it is not there any more, or several are called so


def _path_then(item: Item, entry: Entry) -> str:
    """The path of the place that a thing was in when the entry was written."""
    key = _as_it_was(Item.history.filter(id=item.pk), "place_id", entry, item.place_id)
    return _path(Place.objects.filter(pk=key).first()) if key else ""


def _as_it_was(rows: QuerySet[Any], field: str, entry: Entry, otherwise: Any = None) -> Any:
    """A column as it was when an entry was written, by the history of its row; before that, as it was first."""
    rows = rows.order_by("-history_date", "-history_id")
    at = min(entry.written_at, timezone.now())
    row = rows.filter(history_date__lte=at).first() or rows.last()
    return getattr(row, field) if row else otherwise
