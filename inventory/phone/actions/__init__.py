"""Taking in the entries that a phone kept while it had no signal, each of them once."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.phone.actions.kinds import KINDS, EntryKind
from inventory.phone.actions.taking import StandsOtherwise
from inventory.phone.models import SentEntry
from inventory.phone.rules.entries import Clash, Entry

__all__ = ["KINDS", "Answer", "take_entry"]
EARLIEST = datetime(2020, 1, 1, tzinfo=UTC)  # a phone that says less was never told the time
SLACK = timedelta(minutes=10)  # by which the clock of a phone may be ahead
TRIES = 5  # another may claim the same key at the same moment, and let it go again


@dataclass(frozen=True)
class Answer:
    """What became of an entry. Not taken: ``because`` by field, or ``clashes``. ``again``: it had been taken before;
    ``otherwise``: and said something else then, which stands. ``clock``: the time here, where that of the phone cannot
    be (ISO 8601).
    """

    taken: bool
    told: str = ""
    address: str = ""
    because: tuple[tuple[str, str], ...] = ()
    clashes: tuple[Clash, ...] = ()
    again: bool = False
    otherwise: bool = False
    clock: str = ""


class _Claimed(Exception):
    """The key was claimed at the same moment."""


def take_entry(entry: Entry, *, by: Any, barred: Callable[[EntryKind], str] = lambda kind: "") -> Answer:
    """Do what an entry says under its key, or say why not; of one account and key it is done once, whoever sends it
    twice at the same moment. What is not taken leaves nothing. ``barred``: why somebody may not make a kind of entry.
    """
    kind = KINDS.get(entry.kind)
    if kind is None:
        return Answer(False, because=(("", f"{entry.kind!r} is no kind of entry; expected {', '.join(KINDS)}."),))
    for _ in range(TRIES):
        if row := SentEntry.objects.filter(account=by, key=entry.key).first():
            return Answer(True, row.told, row.address, again=True, otherwise=row.digest != entry.digest)
        if told := barred(kind):
            return Answer(False, because=(("", told),))
        now = timezone.now()
        if not EARLIEST <= entry.written_at <= now + SLACK:
            return Answer(False, because=(("", _by_the_clock(entry, now)),), clock=now.isoformat(timespec="seconds"))
        try:
            return _taken(entry, by)
        except _Claimed:
            continue
        except StandsOtherwise as clash:
            return Answer(False, clashes=clash.clashes)
        except ValidationError as refusal:
            return Answer(False, because=_told(refusal))
    return Answer(False, because=(("", "The same entry is being sent from elsewhere; send it again."),))


@transaction.atomic
def _taken(entry: Entry, by: Any) -> Answer:
    """Claim the key, do the change, keep the answer. Who claims the same key meanwhile waits for the end of this."""
    kind = KINDS[entry.kind]
    try:
        row = SentEntry.objects.create(
            account=by, key=entry.key, kind=entry.kind, digest=entry.digest, written_at=entry.written_at
        )
    except IntegrityError as fault:
        raise _Claimed from fault
    done = kind.take(entry, by, timezone.localdate(entry.written_at))
    row.told, row.address = done.told, done.address
    row.save(update_fields=["told", "address"])
    return Answer(True, done.told, done.address)


def _by_the_clock(entry: Entry, now: datetime) -> str:
    then, here = timezone.localtime(entry.written_at), timezone.localtime(now)
    return f"By the clock of the phone it was written on {then:%Y-%m-%d %H:%M}; here it is {here:%Y-%m-%d %H:%M}."


def _told(refusal: ValidationError) -> tuple[tuple[str, str], ...]:
    if not hasattr(refusal, "error_dict"):
        return tuple(("", text) for text in refusal.messages)
    named = refusal.message_dict
    return tuple(("" if field == "__all__" else field, text) for field, texts in named.items() for text in texts)
