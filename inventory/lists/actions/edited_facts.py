"""What is said of a thing beside its own columns, changed as a cell of a list that came back says.

What stood there is struck out with the list as the reason and the new word is entered, as on the page of the thing.
Nothing is guessed: a price without its currency, a price that is a share of others, a cell that tells several facts and
a number that another thing bears are refused, each with what to do.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from inventory.holdings.actions.facts import add_facts
from inventory.holdings.models import Fact, Item
from inventory.holdings.queries.facts import bearer_of
from inventory.holdings.rules.facts import ASKED, MONEY, OWN_NUMBER, PAID, read_fact
from inventory.holdings.rules.prices import EACH
from inventory.house.records.actions import strike_out
from inventory.house.writing import keep_history, refuse, write

AT_ONCE = 400  # things
NUMBER = "Own number"
#: Columns of facts that a list changes, by their headings.
SAID = {"Price paid": PAID, "Price asked": ASKED, NUMBER: OWN_NUMBER}
SAID_ELSEWHERE = {
    "Insured value": "an insured value says its day and what it rests on; enter it on the page of the thing",
    **dict.fromkeys(
        ("Reading", "Reject minimum", "Instrument", "Tested on"),
        "a reading is of a day and an instrument; enter it as a test, on the page of the tube or in a test session",
    ),
}
_SEVERAL = "{count} of them stand there; strike out or add one on the page of the thing"
_OF_MORE = "it was said of {whom}; change it on the page of the thing"


def say_cell(item: Item, heading: str, cell: str, *, by: Any, today: date, reason: str) -> None:
    """Let the one fact under a heading be what a cell says; an empty cell strikes it out.

    Within a transaction of the caller's, the thing locked. Raises ValidationError with the reason.
    """
    about, text = SAID[heading], cell.strip()
    now = facts_there(item, about)
    if text and now and text == now[0].words:
        return
    if text:
        _check(about, text, now[0].currency if now else "", today)
    for fact in now:
        strike_out(fact, reason, by=by)
    if text:
        add_facts(item, about, text, by=by, today=today, reason=reason)


def facts_there(item: Item, about: str) -> list[Fact]:
    """The one fact of a sort that a cell can change, or none. Raises ValidationError where it is not of this thing
    alone, or where several stand.
    """
    now = list(Fact.objects.filter(item=item, about=about, struck="").order_by("pk"))
    if len(now) > 1:
        raise refuse("__all__", _SEVERAL.format(count=len(now)))
    for fact in now:
        if fact.per not in ("", EACH) or (fact.of_count or 1) > 1:
            whom = f"{fact.of_count} together" if fact.of_count else fact.get_per_display()
            raise refuse("__all__", _OF_MORE.format(whom=whom.removeprefix("for ")))
    return now


def _check(about: str, text: str, currency: str, today: date) -> None:
    """Refuse an amount that is not read for certain."""
    if about not in MONEY:
        return
    found, remark = read_fact(about, text, today=today)
    if remark is not None:
        raise refuse("__all__", f"{remark.why or remark.reason}{f'; {remark.action}' if remark.action else ''}")
    for fact in found:
        if fact.about != about or fact.per not in ("", EACH):
            raise refuse("__all__", f"{text}: write what this one cost, such as 12.50 EUR")
        if fact.value and not fact.currency:
            known = f" ({currency} stood there)" if currency else ""
            raise refuse("__all__", f"{text}: say the currency with it, such as 12.50 EUR{known}")


@dataclass
class Renumbering:
    """Numbers of the keeper's own that a list gives to things, all at once: what one gives up another may get."""

    by: Any
    today: date
    reason: str
    wanted: list[tuple[int, Item, str]] = field(default_factory=list)  # row, thing, number

    def add(self, row: int, item: Item, number: str) -> None:
        self.wanted.append((row, item, number.strip()))

    def go(self) -> dict[int, str]:
        """Give them; gives why a row's stays as it is. A number that somebody else keeps is given to nobody."""
        refused: dict[int, str] = {}
        left, before = list(self.wanted), -1
        while len(left) != before:  # those that get what is free, then those that get what these gave up
            before = len(left)
            left = self._one_round(left, refused)
        if left and not self._exchanged(left):
            refused |= {row: self._why(item, number) for row, item, number in left}
        return refused

    def _one_round(self, left: Sequence[tuple[int, Item, str]], refused: dict[int, str]) -> list[tuple[int, Item, str]]:
        """Give what is not borne by one of those that wait for their turn; gives these."""
        waiting, waits = {item.pk for _, item, _ in left}, []
        for row, item, number in left:
            bearer = bearer_of(number, but=item) if number else None
            if bearer and bearer.pk in waiting:
                waits.append((row, item, number))
                continue
            waiting.discard(item.pk)
            try:
                with transaction.atomic():
                    say_cell(item, NUMBER, number, by=self.by, today=self.today, reason=self.reason)
            except ValidationError as refusal:
                refused[row] = " ".join(refusal.messages)
        return waits

    def _exchanged(self, left: Iterable[tuple[int, Item, str]]) -> bool:
        """Numbers that go in a ring: all are given up, then all given; none where one of them is refused."""
        try:
            with transaction.atomic():
                for _, item, _ in left:
                    for fact in facts_there(item, OWN_NUMBER):
                        strike_out(fact, self.reason, by=self.by)
                for _, item, number in left:
                    add_facts(item, OWN_NUMBER, number, by=self.by, today=self.today, reason=self.reason)
        except ValidationError:
            return False
        return True

    def _why(self, item: Item, number: str) -> str:
        bearer = bearer_of(number, but=item)
        return f"{number} is the own number of {bearer.tag}" if bearer else f"{number} cannot be given"


# --- one step back ---------------------------------------------------------------------------------------------------

Reason = Callable[[str], Q]  # the condition on a column that it holds the reason of a list


def things_said_of(reason: Reason) -> set[int]:
    """The keys of things of which a list changed a fact."""
    entered = Fact.history.filter(reason("history_change_reason"), history_type="+")  # type: ignore[attr-defined]
    struck = Fact._base_manager.filter(reason("struck"))
    return {*entered.values_list("item_id", flat=True), *struck.values_list("item_id", flat=True)}


def take_facts_back(reason: Reason, *, by: Any, told: str, at: datetime) -> tuple[int, list[str]]:
    """(how many cells say again what they said, what stays in words) of facts that a list changed.

    What it entered goes, what it struck out stands again, where nobody said something else since. ``told``: the reason
    of the way back. What was entered goes first, of all things: a number that went on to another is free again then.
    """
    keys, gone, stays = sorted(things_said_of(reason)), [], []
    for start in range(0, len(keys), AT_ONCE):
        cells, left = _entered_gone(keys[start : start + AT_ONCE], reason, by=by, told=told, at=at)
        gone += cells
        stays += left
    count = 0
    for facts in gone:
        if why := next(filter(None, map(_taken_meanwhile, facts)), ""):
            stays.append(f"{facts[0].item.tag}: {why}")
            continue
        for fact in facts:
            fact.struck = ""
            write(fact, by=by, reason=told)
        count += 1
    return count, stays


def _entered_gone(
    keys: Sequence[int], reason: Reason, *, by: Any, told: str, at: datetime
) -> tuple[list[list[Fact]], list[str]]:
    """Remove what a list entered on some things; gives what it struck out of each cell, and what stays in words."""
    records = Fact.history.filter(reason("history_change_reason"), history_type="+", item_id__in=keys)  # type: ignore[attr-defined]
    entered = set(records.order_by().values_list("id", flat=True))
    struck = set(Fact._base_manager.filter(reason("struck"), item__in=keys).values_list("pk", flat=True))
    cells: dict[tuple[int, str], list[Fact]] = {}
    for fact in Fact._base_manager.filter(item__in=keys).select_related("item").order_by("item_id", "pk"):
        cells.setdefault((fact.item_id, fact.about), []).append(fact)
    gone, stays = [], []
    for facts in cells.values():
        new = [one for one in facts if one.pk in entered]
        old = [one for one in facts if one.pk in struck - entered]
        if not new and not old:
            continue
        since = [one for one in facts if one.pk not in entered and not one.struck]
        if since or any(one.struck for one in new):
            stays.append(f"{facts[0].item.tag}: {facts[0].get_about_display()} changed since")
            continue
        keep_history(new, "-", by=by, reason=told, at=at)
        Fact._base_manager.filter(pk__in=[one.pk for one in new])._raw_delete(Fact._base_manager.db)
        gone.append(old or new)
    return [[one for one in facts if one.pk in struck] for facts in gone], stays


def _taken_meanwhile(fact: Fact) -> str:
    """Why a number that was struck out cannot stand again."""
    bearer = bearer_of(fact.text, but=fact.item) if fact.about == OWN_NUMBER else None
    return f"{fact.text} is the own number of {bearer.tag} by now" if bearer else ""
