"""What is said once of a thing: how it came, why it left. A word that changes strikes out the one before it."""

import hashlib
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions.facts import add_facts
from inventory.holdings.actions.locking import locked
from inventory.holdings.models import Fact, Item
from inventory.holdings.queries.record import Came, Left, came, left
from inventory.holdings.rules import facts as rule
from inventory.holdings.rules.dates import DAY
from inventory.house.records.actions import strike_out
from inventory.house.writing import refuse, write

CAME = {"how": rule.GOT_HOW, "when": rule.ACQUIRED, "source": rule.GOT_FROM, "title": rule.TITLE}
LEFT = {"reason": rule.LEFT_WHY, "authority": rule.LEFT_BY, "recipient": rule.LEFT_TO, "proceeds": rule.PROCEEDS}
_COLUMNS = {"how": "acquired_how", "source": "acquired_from", "when": "acquired_on"}  # of a tube, which has these


@transaction.atomic
def say_how_it_came(
    item: Item, words: Mapping[str, str], *, by: Any, today: date, order: str = "", why: str = "",
    seen: str = "",
) -> list[str]:  # fmt: skip
    """Write how a thing came, ``words`` by the names of ``CAME``; gives the names of those that changed.

    What is not named, and what stands there already, is left alone; an empty text takes a word away. ``when``: a day, a
    month, a year, "before 1990". A tube has columns for three of them, of which that of the day holds a day alone; what
    they cannot hold, and all of other things, are facts. ``seen``: the state of what the form showed
    (``state_said``); refused where it is otherwise by now.
    """
    fresh = locked(item)
    now = came(fresh)
    _check_seen(now, CAME, seen)
    changed = _changed(words, now)
    columns = _COLUMNS if fresh.kind == Item.TUBE else {}
    kept: dict[str, Any] = {}
    for name, text in changed.items():
        if name in columns and (value := _column(name, text, today, order)) is not None:
            kept[columns[name]] = value
            text = ""
        elif name in columns:
            kept[columns[name]] = None if name == "when" else ""
        _say(fresh, CAME[name], text, name, by, today, why, order=order)
    if kept:
        _write_tube(fresh, kept, by, why)
    return list(changed)


def _column(name: str, text: str, today: date, order: str) -> Any:
    """What the column of a tube holds of a word; None where it can hold nothing of it."""
    if name != "when":
        return text
    found, remark = rule.read_fact(rule.ACQUIRED, text, today=today, order=order or None) if text else ((), None)
    exact = bool(found) and remark is None and found[0].precision == DAY and not found[0].estimated
    return found[0].first if exact else None


def _write_tube(item: Item, kept: Mapping[str, Any], by: Any, why: str) -> None:
    tube = item.tube
    for column, value in kept.items():
        setattr(tube, column, value)
    try:
        write(tube, by=by, reason=why or "how it came")
    except ValidationError as refusal:
        names = {column: name for name, column in _COLUMNS.items()}
        raise ValidationError(
            {names.get(column, "how"): texts for column, texts in refusal.message_dict.items()}
        ) from refusal


@transaction.atomic
def say_how_it_left(
    item: Item, words: Mapping[str, str], *, by: Any, today: date, why: str = "", seen: str = ""
) -> list[str]:
    """Write why a thing left, on whose word, to whom, for how much, by the names of ``LEFT``; gives those that changed.

    How and when it left is written as it goes.
    """
    fresh = locked(item)
    now = left(fresh)
    if now is None:
        raise refuse("reason", f"{fresh.tag} is here; part with it first.")
    _check_seen(now, LEFT, seen)
    changed = _changed(words, now)
    for name, text in changed.items():
        _say(fresh, LEFT[name], text, name, by, today, why)
    return list(changed)


def _changed(words: Mapping[str, str], now: Came | Left) -> dict[str, str]:
    told = {name: " ".join(text.split()) for name, text in words.items()}
    return {name: text for name, text in told.items() if text != " ".join(getattr(now, name).split())}


def state_said(now: Came | Left, names: Iterable[str]) -> str:
    """The state of some words, as a short text that a form carries."""
    told = "\n".join(f"{name}={' '.join(getattr(now, name).split())}" for name in names)
    return hashlib.sha256(told.encode()).hexdigest()[:20]


def _check_seen(now: Came | Left, names: Iterable[str], seen: str) -> None:
    if seen and seen != state_said(now, names):
        told = "; ".join(f"{name}: {getattr(now, name) or 'not said'}" for name in names)
        raise refuse(
            "__all__", f"Somebody changed this record since you opened it. It says now: {told}. What you typed still "
            "stands below: sent again, it is written over that.",
        )  # fmt: skip


def _say(item: Item, about: str, text: str, field: str, by: Any, today: date, why: str, order: str = "") -> None:
    """Let one word of a sort stand on a thing, or none; what stood there is struck out. A refusal names the field."""
    for fact in Fact.objects.filter(item=item, about=about, struck="").order_by("pk"):
        strike_out(fact, why.strip() or (f"now: {text}" if text else "said otherwise"), by=by)
    if not text:
        return
    try:
        made = add_facts(item, about, text, by=by, today=today, order=order)
    except ValidationError as refusal:
        raise refuse(field, " ".join(refusal.messages)) from refusal
    if about == rule.PROCEEDS and any(fact.value and not fact.currency for fact in made):
        raise refuse(field, "Say the currency with it: 30 USD.")
