"""What becomes of a row as read, given what the register and the rest of the list hold. Nothing is written here.

A reading knows only its own row. Here it becomes things to write, a question to the keeper, a refusal or no item.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.lists.actions.ask import LEAVE_OUT, LEFT_OUT, Ask, Remarks, Stop, as_found, with_reason
from inventory.lists.actions.before import Before, kept_before
from inventory.lists.actions.places import fold
from inventory.lists.actions.questions import Answers, here_already
from inventory.lists.actions.read import ReadRow
from inventory.lists.actions.things import Thing, ThingMaker
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_wants import NOT_OWNED, WANT, WANT_ACTION
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, RowReading, RowRemark
from inventory.lists.rules.understood import understood
from tubes.queries import Knowledge


@dataclass(slots=True)
class Settled:
    """What becomes of a row. ``question`` waits for the keeper; ``digest`` where the row stands for a thing;
    ``understood`` what was read of it (``rules.understood``).
    """

    outcome: str
    why: str = ""
    remarks: list[RowRemark] = field(default_factory=list)
    question: dict[str, Any] = field(default_factory=dict)
    things: list[Thing] = field(default_factory=list)
    digest: str = ""
    core: str = ""
    understood: dict[str, Any] = field(default_factory=dict)


class Settler:
    """Settles the rows of one list in order. ``maker`` remembers what the list has named so far."""

    def __init__(self, known: Knowledge, column: Callable[[str], str], keys: Sequence[str]) -> None:
        self.column, self.keys = column, keys
        self.maker = ThingMaker(known, column)
        self.numbers: dict[str, int] = {}

    def settle(self, read: ReadRow, before: Before, answers: Answers | None = None) -> Settled:
        """Settle one row. ``before``: what is here of it already; ``answers``: the keeper's, by what they are about."""
        settled = self._settle(read, before, answers or {})
        column = str(settled.question.get("column", "row"))
        told = with_reason(settled.outcome, settled.why, column, settled.remarks, read.cells)
        settled.remarks = as_found(told, self.keys, read.cells)
        settled.core = before.core if settled.digest else ""
        settled.understood = self._understood(read.reading, settled)
        return settled

    def _understood(self, found: RowReading, settled: Settled) -> dict[str, Any]:
        """What was read of a row, under the type it settles as and the place that was found for it."""
        spot = settled.things[0].spot if settled.things else None
        return understood(found, self.maker.type_told(found, settled.things), spot.path if spot else found.place_text)

    def _settle(self, read: ReadRow, before: Before, answers: Answers) -> Settled:
        found = read.reading
        if found.outcome in (REFUSED, NOT_AN_ITEM):
            return Settled(found.outcome, found.why, list(found.remarks))
        if answers.get("want") == LEAVE_OUT and found.beside:
            return Settled(NOT_AN_ITEM, LEFT_OUT, [*found.remarks, self._wanted_only(found)])
        if LEAVE_OUT in answers.values():
            return Settled(NOT_AN_ITEM, LEFT_OUT, list(found.remarks))
        remarks = Remarks(self.column, list(found.remarks))
        if stop := here_already(before, answers):  # it stands for no thing of its own until the keeper says so
            stopped = self._stopped(stop, answers, remarks, digest="")
            stopped.question["before"] = kept_before(before)
            return stopped
        self._number(read.row, found, remarks)
        things = self.maker.things(read.row, found, answers, remarks)
        if isinstance(things, Stop):
            return self._stopped(things, answers, remarks, digest=before.digest)
        if before.tag and len(things) == 1:
            things[0].tag = before.tag
        outcome = REMARKED if remarks.rows else WRITTEN
        return Settled(outcome, "", remarks.rows, self._to_count(found, things, answers), things, before.digest)

    def _stopped(self, stop: Stop, answers: Answers, remarks: Remarks, *, digest: str) -> Settled:
        if isinstance(stop, Ask):
            question = stop.question(answers, self.column(stop.field) if stop.field else "row")
            return Settled(HELD, stop.text, remarks.rows, question, digest=digest)
        remark = RowRemark(self.column(stop.field), stop.found, stop.reason, stop.action)
        return Settled(REFUSED, remark.reason, [*remarks.rows, remark])

    def _wanted_only(self, found: RowReading) -> RowRemark:
        """What a row says that the keeper left out as a want: its page then offers the want list."""
        reason = f"{LEFT_OUT}: {NOT_OWNED}"
        return RowRemark(self.column(found.beside_in or f.STATE), "", reason, WANT_ACTION, WANT)

    def _number(self, row: int, found: RowReading, remarks: Remarks) -> None:
        if not found.number:
            return
        first = self.numbers.setdefault(fold(found.number), row)
        if first != row:
            reason = f"number {found.number} stands on row {first} too"
            remarks.add(f.NUMBER, found.number, reason, "look which of the two bears it; both are kept")

    def _to_count(self, found: RowReading, things: list[Thing], answers: Answers) -> dict[str, Any]:
        """What the list of things to count says of a row of tubes; part lots say it themselves."""
        count = found.quantity
        if found.kind != f.TUBES or count is None or not count.to_count:
            return {}
        kind = self.maker.types.settle(found, answers, Remarks(self.column, []))
        words = " ".join(count.text.split())[:80] or "no count"
        place = " ".join(found.place_text.split())[:80]
        return {
            "about": "count", "to_count": words, "made": len(things), "answers": answers,
            "type": kind if isinstance(kind, str) else "",
            "mark": found.mark, "place": place,
        }  # fmt: skip
