"""The record of a thing: how it came, whose it is, how it was found, where it is lent, how it left."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import F, Q
from django.utils import timezone

from inventory.holdings.models import ConditionCheck, Fact, Item, Loan
from inventory.holdings.queries.conditions import LATEST_FIRST
from inventory.holdings.rules import facts as rule
from inventory.holdings.rules.fact_words import in_a_word
from inventory.holdings.rules.mistakes import never_was
from inventory.holdings.rules.ways import ON_LOAN, beside_words, way_in, way_out


@dataclass(frozen=True, slots=True)
class Came:
    """How a thing came. ``way``: as which of the ways its words read, "" where they say none; ``when``: as it is kept,
    ``when_told``: as it is read ("before 1990"); ``title``: what shows that it is ours.
    """

    how: str = ""
    when: str = ""
    when_told: str = ""
    source: str = ""
    title: str = ""
    paid: str = ""

    @property
    def way(self) -> str:
        return way_in(self.how)

    @property
    def read_as(self) -> str:
        """The way, where its words do not say it themselves."""
        return beside_words(self.way, self.how)

    @property
    def known(self) -> bool:
        return any((self.how, self.when, self.source, self.title, self.paid))

    def as_dict(self) -> dict[str, Any]:
        told = {"how": self.how, "way": self.way, "when": self.when_told or self.when, "from": self.source}
        return {name: text or None for name, text in (told | {"title": self.title, "paid": self.paid}).items()}


@dataclass(frozen=True, slots=True)
class Left:
    """How a thing left, and on whose word. ``way``: as which of the ways its words read."""

    on: date
    how: str
    reason: str = ""
    authority: str = ""
    recipient: str = ""
    proceeds: str = ""
    proceeds_told: str = ""

    @property
    def way(self) -> str:
        return way_out(self.how)

    @property
    def read_as(self) -> str:
        """The way, where its words do not say it themselves."""
        return beside_words(self.way, self.how)

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is not said of it, of what a record of a disposal says."""
        asked = {"why": self.reason, "on whose word": self.authority}
        return tuple(name for name, text in asked.items() if not text)

    def as_dict(self) -> dict[str, Any]:
        told = {"how": self.how, "way": self.way, "reason": self.reason, "authorised_by": self.authority,
                "recipient": self.recipient, "proceeds": self.proceeds_told or self.proceeds}  # fmt: skip
        return {"on": str(self.on), **{name: text or None for name, text in told.items()}}


@dataclass(frozen=True, slots=True)
class Record:
    """All of it. ``undated``: what is said of its condition without a day; ``conditions``: newest first, also those
    struck out; ``loans``: those that run, and those that are over.
    """

    item: Item
    came: Came
    left: Left | None
    conditions: Sequence[ConditionCheck]
    undated: str
    loans: Sequence[Loan]

    @property
    def struck_out(self) -> str:
        """Why its entry is struck out, where it never was; else empty."""
        return self.item.gone_how if never_was(self.item.gone_how) else ""

    @property
    def owed(self) -> Loan | None:
        """The loan by which it is not ours: it runs, or it ended as the thing left, so that its owner has it."""
        return next((one for one in self.loans if one.way == Loan.IN and one.ended in (None, self.item.gone_on)), None)

    @property
    def today(self) -> date:
        return timezone.localdate()

    @property
    def standing(self) -> list[ConditionCheck]:
        return [one for one in self.conditions if not one.struck]

    @property
    def look_again(self) -> date | None:
        """When to look again, as the last who looked said."""
        return self.standing[0].look_again if self.standing and self.left is None else None

    @property
    def loan_unsaid(self) -> bool:
        """Whether it came on loan by its words, and no loan sheet says so."""
        return self.left is None and self.came.way == ON_LOAN and not any(one.way == Loan.IN for one in self.loans)

    def as_dict(self, *, money: bool = True) -> dict[str, Any]:
        """For JSON; without ``money`` what was paid and got is null, for those who see no prices."""
        owed, item = self.owed, self.item
        came, gone = self.came.as_dict(), self.left.as_dict() if self.left else None
        for told, name in ((came, "paid"), (gone, "proceeds"), (gone, "how")):
            if told and not money:
                told[name] = None
        return {
            "tag": item.tag, "kind": item.kind, "what": item.words, "acquisition": came,
            "owner": {"ours": owed is None} | (_loan(owed) if owed else {}),
            "condition": [_condition(one) for one in self.standing], "condition_undated": self.undated or None,
            "look_again": str(self.look_again) if self.look_again else None,
            "loans": [_past_loan(one) for one in self.loans],
            "disposal": gone, "struck_out": self.struck_out or None,
        }  # fmt: skip


def _day(on: date | None) -> str | None:
    return str(on) if on else None


def _loan(row: Loan) -> dict[str, Any]:
    return {"who": row.who, "since": str(row.since), "due": _day(row.due), "terms": row.terms or None}


def _past_loan(row: Loan) -> dict[str, Any]:
    """A loan that runs or is over; what left from where it was lent never came back."""
    back = None if row.never_back else _day(row.ended)
    return {"way": row.way, **_loan(row), "back_on": back, "ended": _day(row.ended), "never_back": row.never_back}


def _condition(row: ConditionCheck) -> dict[str, Any]:
    return {
        "on": str(row.on), "by": row.by_whom or None, "state": row.state, "complete": row.complete or None,
        "lacking": row.lacking or None, "hazard": row.hazard or None, "look_again": _day(row.look_again),
    }  # fmt: skip


_OF_COMING = (rule.GOT_HOW, rule.GOT_FROM, rule.ACQUIRED, rule.TITLE, rule.PAID)
_OF_LEAVING = (rule.LEFT_WHY, rule.LEFT_BY, rule.LEFT_TO, rule.PROCEEDS)


def _last(item: Item) -> dict[str, Fact]:
    """The last word of each sort on a thing (one query)."""
    return {about: facts[-1] for about, facts in _said(item).items()}


def _said(item: Item) -> dict[str, list[Fact]]:
    """What is said of how a thing came and left, by its sort, in the order of entry (one query)."""
    rows = Fact._base_manager.filter(item=item, struck="", about__in=(*_OF_COMING, *_OF_LEAVING)).order_by("pk")
    found: dict[str, list[Fact]] = {}
    for fact in rows:
        found.setdefault(fact.about, []).append(fact)
    return found


def _text(last: dict[str, Fact], about: str) -> str:
    return last[about].text if about in last else ""


def _came(item: Item, said: dict[str, list[Fact]]) -> Came:
    last = {about: facts[-1] for about, facts in said.items()}
    tube = item.tube if item.kind == Item.TUBE else None
    day = tube.acquired_on if tube else None
    told = last.get(rule.ACQUIRED)
    return Came(
        how=(tube.acquired_how if tube else "") or _text(last, rule.GOT_HOW),
        when=str(day) if day else _text(last, rule.ACQUIRED),
        when_told=str(day) if day else in_a_word(told) if told else "",
        source=(tube.acquired_from if tube else "") or _text(last, rule.GOT_FROM),
        title=_text(last, rule.TITLE),
        paid="; ".join(map(in_a_word, said.get(rule.PAID, ()))),  # all that stand: they add up
    )  # fmt: skip


def _left(item: Item, last: dict[str, Fact]) -> Left | None:
    if item.gone_on is None or never_was(item.gone_how):  # what never was here did not leave
        return None
    money = last.get(rule.PROCEEDS)
    return Left(
        item.gone_on,
        item.gone_how,
        _text(last, rule.LEFT_WHY),
        _text(last, rule.LEFT_BY),
        _text(last, rule.LEFT_TO),
        _text(last, rule.PROCEEDS),
        in_a_word(money) if money else "",
    )


def came(item: Item) -> Came:
    """How a thing came: of a tube by its columns, which a fact completes, of all else by facts."""
    return _came(item, _said(item))


def left(item: Item) -> Left | None:
    """How a thing left; None of what is here."""
    return _left(item, _last(item))


def record_of(item: Item) -> Record:
    """The record of a thing (three queries)."""
    said = _said(item)
    last = {about: facts[-1] for about, facts in said.items()}
    conditions = list(item.conditions.order_by(*LATEST_FIRST))
    loans = list(item.loans.order_by("-since", "-pk"))
    return Record(
        item, _came(item, said), _left(item, last), conditions, getattr(item.row, "condition", ""), loans
    )  # fmt: skip


#: Loans by which things are not ours: they run, or ended as the thing left, since its owner has it back.
OWED = Q(way=Loan.IN) & (Q(ended__isnull=True) | Q(ended=F("item__gone_on")))


def not_ours(keys: Iterable[int] | None = None) -> dict[int, Loan]:
    """What belongs to somebody else, by key: of some things, or of all (one query)."""
    rows = Loan.objects.filter(OWED).order_by("since", "pk")
    return {row.item_id: row for row in (rows if keys is None else rows.filter(item__in=list(keys)))}
