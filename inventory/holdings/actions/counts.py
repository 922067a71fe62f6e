"""Changes of stock-takes, and the changes of many things at once: a whole box moved, things seen."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.db import transaction
from simple_history.utils import bulk_update_with_history

from inventory.holdings.actions.locking import for_change, locked_all
from inventory.holdings.actions.register import check_day, check_not_inside_itself, move, save_place, saw
from inventory.holdings.actions.together import check_carried_off, check_together
from inventory.holdings.models import Item, Movement, Place, StockTake, StockTakeLine
from inventory.holdings.queries import items_in, open_lines, tags_meant, things_to_count, with_whereabouts
from inventory.house.concerns import held_by_many
from inventory.house.writing import person_or_none, refuse, write

BATCH = 500
REST_MISSING, REST_LEFT = "missing", "left"
REST = (REST_MISSING, REST_LEFT)  # what the lines of a stock-take without an outcome are when it is closed
NAMED = 5  # things that a refusal names
OPEN = "open"  # what the page calls a line without an outcome


@transaction.atomic
def mark_seen(items: Iterable[Item], *, on: date, by: Any, reason: str = "seen") -> int:
    """Write that things were seen on a day; an older day never overwrites a later one. Returns how many changed."""
    check_day(on)
    rows = locked_all(items)
    for item in rows:
        if item.gone_on:
            raise refuse("tags", f"{item.tag} left the collection on {item.gone_on}.")
    return _write_seen([(item, on) for item in rows], by=by, reason=reason)


def turned_up(items: Iterable[Item], *, on: date, by: Any, reason: str) -> None:
    """Work was done on things on a day: what a stock-take until then did not find was found."""
    if missing := [item for item in items if item.missed_on is not None]:
        mark_seen(missing, on=on, by=by, reason=reason)


def _write_seen(seen: Sequence[tuple[Item, date]], *, by: Any, reason: str) -> int:
    changed = [item for item, on in seen if saw(item, on)]
    _write_days(changed, by=by, reason=reason)
    return len(changed)


def _write_days(changed: Sequence[Item], *, by: Any, reason: str) -> None:
    """Write when things were last seen, or not found, with their history."""
    if changed:
        bulk_update_with_history(
            changed,
            Item,
            ["seen_on", "missed_on"],
            batch_size=BATCH,
            default_user=person_or_none(by),
            default_change_reason=reason[:100],
        )


@transaction.atomic
def move_place(place: Place, into: Place | None, *, on: date, by: Any, reason: str = "") -> int:
    """Move a whole box, drawer or cabinet into another place (None: to the top), with everything in it and below.

    Each thing gets a move of its own from the old path to the new. Nobody opened the box, so nothing counts as seen.
    Returns the number of things that moved along.
    """
    check_day(on)
    place = Place.objects.select_for_update(of=("self",), no_key=True).select_related("parent").get(pk=place.pk)
    if place.parent_id == (into.pk if into else None):
        raise refuse("into", f"It is {'in ' + into.path if into else 'at the top'} already.")
    place.parent = into
    return change_place(place, on=on, by=by, reason=reason)


@transaction.atomic
def change_place(place: Place, *, on: date, by: Any, reason: str = "") -> int:
    """Write a changed place. One that stands inside another place now has moved, and everything in it with it.

    A new code is a new name and no move. Returns the number of things that moved along.
    """
    stored = Place.objects.select_for_update(of=("self",), no_key=True).get(pk=place.pk)
    if stored.parent_id == place.parent_id:
        save_place(place, by=by, reason=reason)
        return 0
    check_not_inside_itself(place)
    here = sorted(for_change(items_in(stored)), key=lambda item: item.tag)
    if held := held_by_many(here):
        tags = {item.pk: item.tag for item in here}
        told = [f"{tags[key]}: {'; '.join(texts)}" for key, texts in list(held.items())[:NAMED]]
        raise refuse("into", f"It cannot be moved with everything in it: {'; '.join(told)}.")
    later = Movement.objects.filter(item__in=items_in(stored), on__gt=on).select_related("item").order_by("-on").first()
    if later:
        raise refuse("on", f"{later.item.tag} came here on {later.on}, after that day; give {later.on} or later.")
    check_together(here, reason, "into")
    check_carried_off(here, place.parent.path if place.parent else place.code, reason)
    things = [(item.pk, item.place.path) for item in here if item.place]
    before = stored.path
    place = save_place(place, by=by, reason=reason)
    Movement.objects.bulk_create(
        [
            Movement(
                item_id=key,
                from_path=path,
                to_path=f"{place.path}{path[len(before) :]}",
                on=on,
                by=person_or_none(by),
                reason=reason or f"moved with {before}"[:200],
            )
            for key, path in things
        ],
        batch_size=BATCH,
    )
    return len(things)


@transaction.atomic
def begin_count(*, place: Place | None, percent: int | None, seed: int, on: date, by: Any, note: str = "") -> StockTake:
    """Begin a stock-take of a place and what is below it, or of a random sample; its lines are what has to be found."""
    if (place is None) == (percent is None):
        raise refuse("place", "Name either a place or a share of everything, not both.")
    if percent is not None and not 1 <= percent <= 100:
        raise refuse("percent", f"{percent} percent; give 1 to 100.")
    expected = things_to_count(place, percent, seed)
    if not expected:
        raise refuse("place", "Nothing of the register is there, so there is nothing to count.")
    take = write(
        StockTake(place=place, sample_percent=percent, seed=seed, began=on, by=person_or_none(by), note=note), by=by
    )
    lines = [StockTakeLine(stock_take=take, item_id=key, expected_path=path or "") for key, path in expected]
    StockTakeLine.objects.bulk_create(lines, batch_size=BATCH)
    return take


def _open(take: StockTake) -> StockTake:
    """The stock-take, locked. Raises ValidationError when it is closed."""
    take = StockTake.objects.select_for_update(of=("self",)).select_related("place").get(pk=take.pk)
    if take.closed:
        raise refuse("tag", f"This stock-take was closed on {take.closed}; begin another.")
    return take


@transaction.atomic
def tick(
    take: StockTake, lines: Iterable[int], outcome: str, *, on: date, by: Any, at: Place | None = None,
    seen: Mapping[int, str] | None = None,
) -> int:  # fmt: skip
    """Give lines of an open stock-take an outcome; an empty one opens them again. Returns how many were written.

    ``seen``: by line the outcome that was shown (``open``; empty: not said). Where another tick or scan changed one
    meanwhile, nothing is written.
    """
    take = _open(take)
    _check_seen(take, seen or {})
    if outcome not in ("", StockTakeLine.FOUND, StockTakeLine.MISSING, StockTakeLine.ELSEWHERE):
        raise refuse("outcome", f"{outcome!r} is no outcome of a tick.")
    if outcome == StockTakeLine.ELSEWHERE and at is None:
        raise refuse("at", "Say at which place they were found.")
    rows = list(take.lines.filter(pk__in=list(lines)).exclude(outcome=StockTakeLine.UNEXPECTED))
    for row in rows:
        row.outcome = outcome
        if outcome == StockTakeLine.ELSEWHERE and at is not None:
            row.outcome, row.found_path = _where(row.expected_path, at, take)
        else:
            row.found_path = row.expected_path if outcome == StockTakeLine.FOUND else ""
        row.on, row.by = (on, person_or_none(by)) if outcome else (None, None)
    StockTakeLine.objects.bulk_update(rows, ["outcome", "found_path", "on", "by"], batch_size=BATCH)
    if not outcome:  # what was not expected has no line to open again: the line itself goes
        gone, _ = take.lines.filter(pk__in=list(lines), outcome=StockTakeLine.UNEXPECTED).delete()
        return len(rows) + gone
    return len(rows)


def _check_seen(take: StockTake, seen: Mapping[int, str]) -> None:
    changed = [
        f"{row.item.tag} is {row.get_outcome_display() or 'open again'}{f', {row.by}' if row.by else ''}"
        for row in take.lines.filter(pk__in=list(seen)).select_related("item", "by").order_by("item__tag")
        if seen[row.pk] not in ("", row.outcome or OPEN)
    ]
    if changed:
        more = f", and {len(changed) - NAMED} more" if len(changed) > NAMED else ""
        told = f"{'; '.join(changed[:NAMED])}{more}"
        raise refuse("lines", f"Nothing was written, since meanwhile {told}. Look again, then tick.")


def _where(expected: str, at: Place | None, take: StockTake) -> tuple[str, str]:
    """(outcome, found path) of a thing found at a place: a place above the expected one says nothing against it."""
    within = at is None or at.path == expected or expected.startswith(f"{at.path} / ")
    if within or (take.place_id is not None and at is not None and at.pk == take.place_id):
        return StockTakeLine.FOUND, expected
    return StockTakeLine.ELSEWHERE, at.path if at else expected


@transaction.atomic
def scan(take: StockTake, text: str, *, on: date, by: Any, at: Place | None = None) -> StockTakeLine:
    """A tag was scanned at a place (None: where it belongs): found, found elsewhere, or not expected here.

    The line knows what it was ``before`` where it had an outcome. Its number will do (``7``, ``t7``) where it means one
    thing. Raises ValidationError for what is no tag or may be several, and for a thing that a random
    sample did not draw.
    """
    take = _open(take)
    item = _meant(text)
    tag = item.tag
    line = take.lines.filter(item=item).select_related("by").first()
    before = f"{line.get_outcome_display()} on {line.on}{f', {line.by}' if line.by else ''}" if line and line.on else ""
    if line is None and take.place is None:
        raise refuse("tag", f"{tag} was not drawn for this sample; nothing was written.")
    if line is None:
        found = at or take.place
        expected = item.whereabouts or ""  # type: ignore[attr-defined]
        path = found.path if found else ""
        line = StockTakeLine(stock_take=take, item=item, expected_path=expected)
        line.outcome, line.found_path = StockTakeLine.UNEXPECTED, path
    elif line.outcome == StockTakeLine.UNEXPECTED:
        line.found_path = at.path if at else line.found_path
    else:
        line.outcome, line.found_path = _where(line.expected_path, at, take)
    line.on, line.by = on, person_or_none(by)
    line.save()
    line.before = before
    return line


def _meant(text: str) -> Item:
    """The one thing that a typed or scanned text means."""
    if not text.strip():
        raise refuse("tag", "Nothing was typed or scanned: give a tag.")
    tags = tags_meant(text)
    if len(tags) > 1:
        more = " or more" if len(tags) > NAMED else ""
        raise refuse("tag", f"{text.strip()} may be {' or '.join(tags[:NAMED])}{more}; type the letter too.")
    if not tags:
        raise refuse("tag", f"{text.strip()!r} is no tag of the register; look at the label again.")
    return with_whereabouts(Item.objects.filter(tag=tags[0])).select_related("place").get()


@transaction.atomic
def close_count(take: StockTake, *, on: date, by: Any, rest: str = "", move_found: bool = False) -> StockTake:
    """Close a stock-take: what was found counts as seen on its day; lent things stay listed and are not missing.

    What was not found is no spare from then on, until it is seen again. ``rest``: what lines without an outcome are,
    ``REST_MISSING`` or ``REST_LEFT`` (nobody looked: nothing is said of them); refused where some are and it is empty.
    Nothing is said either of what was moved, fitted or parted with since the stock-take began.
    ``move_found``: things found in another place are moved there, except what by the register is lent or in a set:
    that is settled on its own page.
    """
    take = _open(take)
    if on < take.began:
        raise refuse("on", f"It began on {take.began}; it cannot have been closed before.")
    if rest not in REST and (left := open_lines(take).count()):
        raise refuse(
            "rest", f"{left} without a tick: look for them, or say whether they are not found or not looked for."
        )
    for lent in take.lines.filter(outcome="").exclude(item__lent_to="").select_related("item"):
        lent.found_path = f"lent to {lent.item.lent_to}"[:200]
        lent.save(update_fields=["found_path"])
    moved = _moved_since(take)
    if rest == REST_MISSING:
        rest_of = take.lines.filter(outcome="", found_path="").exclude(pk__in=moved)
        rest_of.update(outcome=StockTakeLine.MISSING, on=on, by=person_or_none(by))
    take.closed, take.closed_by = on, person_or_none(by)
    write(take, by=by)
    _write_missed(take, moved, by=by)
    _settle(take, by=by, move_found=move_found)
    return take


def _told(take: StockTake) -> str:
    return f"stock-take of {take.place.path if take.place else f'a sample of {take.sample_percent} %'}"


def _settle(take: StockTake, *, by: Any, move_found: bool) -> None:
    """Last seen for what was found; with ``move_found`` a move for what lay elsewhere."""
    reason = _told(take)
    kinds = (StockTakeLine.FOUND, StockTakeLine.ELSEWHERE, StockTakeLine.UNEXPECTED)
    lines = list(take.lines.filter(outcome__in=kinds, item__gone_on__isnull=True).select_related("item"))
    _write_seen([(line.item, line.on) for line in lines if line.on], by=by, reason=reason)
    if not move_found:
        return
    places = {place.path: place for place in Place.objects.filter(path__in={line.found_path for line in lines})}
    moves: dict[tuple[str, date], list[Item]] = defaultdict(list)
    held = held_by_many([line.item for line in lines])
    for line in lines:
        place = places.get(line.found_path)
        there = line.outcome == StockTakeLine.FOUND or place is None or line.item.place_id == place.pk
        if not there and line.on and not line.item.lent_to and line.item_id not in held:
            moves[line.found_path, line.on].append(line.item)
    for (path, day), items in moves.items():
        move(items, places[path], on=day, by=by, reason=f"found there: {reason}"[:200], apart="found there")


def _moved_since(take: StockTake) -> list[int]:
    """Lines whose thing left, or went elsewhere by the register, since the stock-take began: it was in a hand."""
    now = with_whereabouts(Item.objects.filter(stock_take_lines__stock_take=take, gone_on__isnull=True))
    there = {key: path or "" for key, path in now.values_list("pk", "whereabouts")}
    lines = take.lines.values_list("pk", "item_id", "expected_path")
    return [pk for pk, item, path in lines if there.get(item) != path]


def _write_missed(take: StockTake, moved: Sequence[int], *, by: Any) -> None:
    """Let what was not found bear the day, unless it was seen or moved after it."""
    lines = take.lines.filter(outcome=StockTakeLine.MISSING).exclude(pk__in=moved).select_related("item")
    changed = []
    for line in lines:
        seen, missed = line.item.seen_on, line.item.missed_on
        if line.on and (seen is None or seen <= line.on) and (missed is None or missed < line.on):
            line.item.missed_on = line.on
            changed.append(line.item)
    _write_days(changed, by=by, reason=f"not found: {_told(take)}")


@transaction.atomic
def drop_count(take: StockTake) -> int:
    """Forget a stock-take that is still open, with its lines: nothing of it was written on a thing. Returns its lines.

    Raises ValidationError where it is closed: what was found and not found then stands on the things.
    """
    take = _open(take)
    lines = take.lines.count()
    take.lines.all().delete()
    take.delete()
    return lines
