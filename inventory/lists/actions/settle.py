"""What becomes of a row as read, given what the register and the rest of the list hold. Nothing is written here.

A reading knows only its own row. Here the type is settled, models and places are found again or noted as new, and what
only the keeper can decide (two meanings, a serial that is there already, too many of one thing) becomes a question.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.holdings.models import Tube
from inventory.holdings.rules.facts import FoundFact
from inventory.lists.actions.ask import LEAVE_OUT, LEFT_OUT, Ask, Refuse, Remarks, as_found, with_reason
from inventory.lists.actions.before import Before
from inventory.lists.actions.facts import (
    LONGEST_MAKER,
    exact_day,
    facts_of,
    fitting_texts,
    hazards_of,
    lines,
    making_of,
    note_of,
    origin_of,
    part_bounds,
    too_long_texts,
)
from inventory.lists.actions.places import Places, Spot, fold
from inventory.lists.actions.read import ReadRow
from inventory.lists.actions.register import CompanionKinds, Models, Named, Serials
from inventory.lists.actions.types import Types
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_facts import facts_of_row
from inventory.lists.rules.row_wants import NOT_OWNED, WANT_ACTION
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, RowReading, RowRemark
from inventory.sets.models import MISSING, READ, SERIAL_READINGS, SetModel, UnitModel
from tubes.models import TubeType
from tubes.queries import Knowledge

MOST_OF_A_ROW = 1000  # things with a tag each; more on one row is asked about
IT_IS_HERE = "it is here already: leave this row out"
WANTED_ONLY = "they are wanted, not here: leave this row out (its page offers to put it on the want list)"
NOT_KNOWN = "not known"
NEW_MODEL = "new:"  # before the name that the keeper gives
LONGEST_HOW = 120
TUBE_TEXTS = {"maker": LONGEST_MAKER, "date_code": 30, "acquired_from": 120}  # columns of a tube and their letters
_BOOK = re.compile(
    r"calibration (?:book|chart|curve)|cal\.? book|chart book|coil set|eichbuch|eichkurve|carnet d'étalonnage|ijkboek",
    re.IGNORECASE,
)


@dataclass(slots=True)
class Thing:
    """One thing to write: its kind of record, the columns of its row, where it lies, what else was read.

    ``item`` are columns of its row in the register (lent, left, last seen), ``tag`` its tag where the list gives it.
    """

    kind: str
    values: dict[str, Any]
    spot: Spot | None
    hazards: list[tuple[str, str]]
    facts: dict[str, Any]
    model: Any = None
    item: dict[str, Any] = field(default_factory=dict)
    tag: str = ""
    told: tuple[FoundFact, ...] = ()


@dataclass(slots=True)
class Settled:
    """What becomes of a row. ``question`` waits for the keeper; ``digest`` where the row stands for a thing."""

    outcome: str
    why: str = ""
    remarks: list[RowRemark] = field(default_factory=list)
    question: dict[str, Any] = field(default_factory=dict)
    things: list[Thing] = field(default_factory=list)
    digest: str = ""


class Settler:
    """Settles the rows of one list in order; remembers what the list has named so far."""

    def __init__(self, known: Knowledge, column: Callable[[str], str], keys: Sequence[str]) -> None:
        self.column, self.keys = column, keys
        self.type_keys = dict(TubeType.objects.values_list("name", "pk"))
        self.types = Types(known, self.type_keys)
        self.places = Places.load()
        self.set_models, self.unit_models = Models.load(SetModel), Models.load(UnitModel)
        self.kinds = CompanionKinds.load()
        self.serials = Serials()
        self.numbers: dict[str, int] = {}

    def settle(self, read: ReadRow, before: Before, answers: dict[str, str] | None = None) -> Settled:
        """Settle one row. ``before``: what is here of it already; ``answers``: the keeper's, by what they are about."""
        settled = self._settle(read, before, answers or {})
        column = str(settled.question.get("column", "row"))
        told = with_reason(settled.outcome, settled.why, column, settled.remarks, read.cells)
        settled.remarks = as_found(told, self.keys, read.cells)
        return settled

    def _settle(self, read: ReadRow, before: Before, answers: dict[str, str]) -> Settled:
        found = read.reading
        if found.outcome in (REFUSED, NOT_AN_ITEM):
            return Settled(found.outcome, found.why, list(found.remarks))
        if answers.get("want") == LEAVE_OUT and found.beside:
            return Settled(NOT_AN_ITEM, LEFT_OUT, [*found.remarks, self._wanted_only(found)])
        if LEAVE_OUT in answers.values():
            return Settled(NOT_AN_ITEM, LEFT_OUT, list(found.remarks))
        remarks = Remarks(self.column, list(found.remarks))
        digest = before.digest
        try:
            try:
                _here_already(before, answers)
            except Ask:
                digest = ""  # it stands for no thing of its own until the keeper says so
                raise
            self._number(read.row, found, remarks)
            things = list(self._things(read.row, found, answers, remarks))
        except Ask as ask:
            question = ask.question(answers, self.column(ask.field) if ask.field else "row")
            return Settled(HELD, ask.text, remarks.rows, question, digest=digest)
        except Refuse as refusal:
            field, *said = refusal.args
            remark = RowRemark(self.column(field), *said)
            return Settled(REFUSED, remark.reason, [*remarks.rows, remark])
        if before.tag and len(things) == 1:
            things[0].tag = before.tag
        outcome = REMARKED if remarks.rows else WRITTEN
        return Settled(outcome, "", remarks.rows, self._to_count(found, things, answers), things, digest)

    def _wanted_only(self, found: RowReading) -> RowRemark:
        """What a row says that the keeper left out as a want: its page then offers the want list."""
        reason = f"{LEFT_OUT}: {NOT_OWNED}"
        return RowRemark(self.column(found.beside_in or f.STATE), "", reason, WANT_ACTION)

    def _number(self, row: int, found: RowReading, remarks: Remarks) -> None:
        if not found.number:
            return
        first = self.numbers.setdefault(fold(found.number), row)
        if first != row:
            reason = f"number {found.number} stands on row {first} too"
            remarks.add(f.NUMBER, found.number, reason, "look which of the two bears it; both are kept")

    # --- the things of a row -----------------------------------------------------------------------------------------

    def _things(self, row: int, found: RowReading, answers: dict[str, str], remarks: Remarks) -> Iterator[Thing]:
        makers: dict[str, Callable[..., Iterator[Thing]]] = {
            f.TUBES: self._tubes,
            f.CHASSIS: self._serialled,
            f.UNITS: self._serialled,
            f.COMPANIONS: self._companions,
        }
        _ask_whether_here(found, answers)
        made = list(makers.get(found.kind, self._parts)(row, found, answers, remarks))
        if not made:
            return
        item = self._standing(found, remarks)
        spot = None if "gone_on" in item else self._spot(found, remarks)
        hazards, facts, told = hazards_of(found), facts_of(found), facts_of_row(found, self.column)
        for thing in made:
            yield replace(thing, spot=spot, hazards=hazards, facts=facts, item=item, told=told)

    def _standing(self, found: RowReading, remarks: Remarks) -> dict[str, Any]:
        """Lent, left, last seen, as the list says."""
        item: dict[str, Any] = {}
        lent, how = found.register.get(f.LENT, ""), found.register.get(f.LEFT_HOW, "")
        if len(lent) > 120 or len(how) > 200:
            raise Refuse(f.LENT if len(lent) > 120 else f.LEFT_HOW, lent or how, "too long", "shorten it")
        if seen := exact_day(found.seen_on):
            item["seen_on"] = seen
        if missed := exact_day(found.missed_on):
            item["missed_on"] = missed
        if left := exact_day(found.left_on):
            item.pop("missed_on", None)
            return item | {"gone_on": left, "gone_how": how}
        if lent:
            item["lent_to"] = lent
            remarks.add(f.LENT, lent, "written as lent, no spare; since when is not said", "take it back if it is back")
        return item

    def _spot(self, found: RowReading, remarks: Remarks) -> Spot | None:
        if len(found.places) != 1:
            return None
        spot, why, new = self.places.find(found.places[0])
        if why:
            remarks.add(f.PLACE, found.place_text, why, "say which place it is")
        elif new and spot:
            remarks.add(f.PLACE, found.place_text, new, "move it into the room where it stands")
        return spot

    def _tubes(self, row: int, found: RowReading, answers: dict[str, str], remarks: Remarks) -> Iterator[Thing]:
        kind = self.types.settle(found, answers, remarks)
        self._twin(row, f.TUBES, found.mark, found, answers)
        self._many(found, answers)
        note = note_of(found, mate=True)
        how = found.register.get(f.HOW, "")
        long_how = f"acquired how: {how}" if len(how) > LONGEST_HOW else ""
        values = {
            "type_id": self.type_keys.get(kind) if kind else None,
            "marked": found.mark,
            **fitting_texts(found, TUBE_TEXTS),
            "acquired_on": exact_day(found.acquired_on),
            "acquired_how": found.register.get(f.HOW, "")[:LONGEST_HOW],
            "note": lines(note, too_long_texts(found, TUBE_TEXTS), long_how),
        }
        for group in found.groups:
            own = group.condition if group.condition not in found.condition else ""
            told = {"state": group.state or Tube.UNTESTED, "condition": lines(found.condition, own)}
            for _ in range(group.count):
                yield Thing(f.TUBES, values | told, None, [], {})

    def _parts(self, row: int, found: RowReading, answers: dict[str, str], remarks: Remarks) -> Iterator[Thing]:
        count = found.quantity
        if count is None:
            return
        name = found.model or found.mark
        self._twin(row, found.kind, name, found, answers)
        least, most = part_bounds(count.kind, count.figure, count.least, count.most)
        value = found.register.get(f.VALUE) or (found.mark if fold(found.mark) != fold(name) else "")
        long = "; ".join(text for text in (name, value) if len(text) > 120)
        if long:
            remarks.add(
                f.MODEL,
                long,
                "longer than 120 letters, cut short; the whole text is in the note",
                "shorten it",
            )
        states = lines(found.condition, *(group.condition for group in found.groups if group.condition))
        values = {
            "name": name[:120],
            "value": value[:120],
            **fitting_texts(found, {"maker": LONGEST_MAKER}),
            "least": least,
            "most": most,
            "duds": count.duds,
            "to_count": count.to_count,
            "condition": states if not found.condition else found.condition,
            "note": lines(long, note_of(found, mate=True), origin_of(found), making_of(found)),
        }
        yield Thing(f.OTHERS if found.kind == f.OTHERS else f.PARTS, values, None, [], {})

    def _serialled(self, row: int, found: RowReading, answers: dict[str, str], remarks: Remarks) -> Iterator[Thing]:
        self._plate(found)
        name = found.model
        self._twin(row, found.kind, name, found, answers)
        self._many(found, answers)
        count = self._one_serial(found, answers)
        if not count:
            return
        models = self.set_models if found.kind == f.CHASSIS else self.unit_models
        model, new = models.find(name)
        if new:
            self._new_model(found.kind, name, remarks)
        plate = _plate_words(found, f.PLATE, found.serial)
        if not found.serial and not found.register.get(f.PLATE):
            remarks.add(f.SERIAL, "", "the list gives no serial: written as without a number", "read the plate")
        note = lines(found.condition, note_of(found, mate=True), making_of(found), origin_of(found))
        for at in range(count):
            serial = found.serial if at == 0 else ""
            values = {"serial": serial, "serial_reading": plate if at == 0 else MISSING, "note": note}
            yield Thing(found.kind, values, None, [], {}, model)

    def _new_model(self, kind: str, name: str, remarks: Remarks) -> None:
        what = "plug-in unit model" if kind == f.UNITS else "set model"
        told = "it fits no set yet" if kind == f.UNITS else "of the kind other, without a neutralized position"
        remarks.add(f.MODEL, name, f"no {what} is called {name}: a new one, {told}", "complete it on its own page")

    def _companions(self, row: int, found: RowReading, answers: dict[str, str], remarks: Remarks) -> Iterator[Thing]:
        self._plate(found)
        word = None if found.own else _BOOK.search(found.model)
        name = (word.group().lower() if word else found.model)[:60]
        model, new = self._set_of(found, word, answers, remarks)
        kind = self.kinds.find(model, name)
        self._twin(row, f.COMPANIONS, f"{model.name} {name}", found, answers)
        self._many(found, answers)
        count = self._one_serial(found, answers)
        if not count:
            return
        if new:
            self._new_model(f.CHASSIS, model.name, remarks)
        note = lines(found.condition, note_of(found, mate=True), making_of(found), origin_of(found))
        for at in range(count):
            serial, mate = (found.serial, found.mate_serial) if at == 0 else ("", "")
            values = {
                "serial": serial,
                "serial_reading": _plate_words(found, f.PLATE, serial) if at == 0 else MISSING,
                "mate_serial": mate,
                "mate_reading": _plate_words(found, f.MATE_PLATE, mate) if at == 0 else MISSING,
                "note": note,
            }
            yield Thing(f.COMPANIONS, values, None, [], {}, kind)

    def _set_of(
        self, found: RowReading, word: re.Match[str] | None, answers: dict[str, str], remarks: Remarks
    ) -> tuple[Named, bool]:
        """The set model that a companion belongs to: named beside it, else known by its mate's serial, else asked."""
        chosen = answers.get("set", "")
        if known := self.set_models.by_key(chosen):
            return known, False
        if chosen == NOT_KNOWN or chosen.startswith(NEW_MODEL):
            return self.set_models.find(chosen.removeprefix(NEW_MODEL))
        if named := found.for_set if found.own else _set_beside(found, word) or found.for_set:
            if len(named) > 80:
                raise Refuse(f.MODEL, named, "longer than 80 letters", "move the words to the notes")
            return self.set_models.find(named)
        mates = self.serials.models_bearing(found.mate_serial) if found.mate_serial else set()
        if len(mates) == 1:
            name = mates.pop()
            reason = f"taken for one of a {name}, since a {name} bears {found.mate_serial}"
            remarks.add(f.MODEL, found.model, reason, "correct it if it is not")
            return self.set_models.find(name)
        text = f"which model of set {found.model} belongs to is not said"
        more = [(NEW_MODEL, "a model that is not here yet: give its name"), (NOT_KNOWN, "not known")]
        raise Ask("set", f.MODEL, text, [*self.set_models.choices(), *more])

    def _to_count(self, found: RowReading, things: list[Thing], answers: dict[str, str]) -> dict[str, Any]:
        """What the list of things to count says of a row of tubes; part lots say it themselves."""
        count = found.quantity
        if found.kind != f.TUBES or count is None or not count.to_count:
            return {}
        kind = self.types.settle(found, answers, Remarks(self.column, []))
        words = " ".join(count.text.split())[:80] or "no count"
        place = " ".join(found.place_text.split())[:80]
        return {
            "about": "count", "to_count": words, "made": len(things), "answers": answers, "type": kind or "",
            "mark": found.mark, "place": place,
        }  # fmt: skip

    # --- questions ---------------------------------------------------------------------------------------------------

    def _plate(self, found: RowReading) -> None:
        """Refuse what does not fit the columns of serialled things."""
        for name, text, most in (
            (f.MODEL, found.model, 80),
            (f.SERIAL, found.serial, 40),
            (f.MATE, found.mate_serial, 40),
        ):
            if len(text) > most:
                raise Refuse(name, text, f"longer than {most} letters", "move the words to the notes")
        if not found.model:
            raise Refuse(f.MODEL, "", "no model is given", "add the model")

    def _twin(self, row: int, kind: str, name: str, found: RowReading, answers: dict[str, str]) -> None:
        """Ask where the same serial is on the same model, in the register or further up in the list."""
        if not found.serial:
            return
        there = self.serials.claim(kind, name, found.serial, row)
        if there and answers.get("twin") != "another":
            text = f"{name} {found.serial} {there}: is this another one?"
            raise Ask("twin", f.SERIAL, text, [("another", "another thing with the same serial: write it")])

    def _many(self, found: RowReading, answers: dict[str, str]) -> None:
        total = sum(group.count for group in found.groups)
        if total > MOST_OF_A_ROW and answers.get("many") != "all":
            text = f"{total} things on one row, each with a tag of its own"
            raise Ask("many", f.QUANTITY, text, [("all", f"write all {total}")])

    def _one_serial(self, found: RowReading, answers: dict[str, str]) -> int:
        """How many to write: one serial beside a larger count is a question."""
        total = sum(group.count for group in found.groups)
        if total < 2 or not found.serial or answers.get("serial") == "all":
            return total
        if answers.get("serial") == "one":
            return 1
        text = f"one serial, {found.serial}, and a count of {total}"
        choices = [("one", "one thing with that serial"), ("all", f"{total} things, the others without a number")]
        raise Ask("serial", f.QUANTITY, text, choices)


def _set_beside(found: RowReading, word: re.Match[str] | None) -> str:
    """The model named in the words beside `calibration book` and the like."""
    if not word:
        return ""
    beside = (found.model[: word.start()] + found.model[word.end() :]).strip(" ,;:-/()")
    return re.sub(r"^(?:for|of|zu|für|pour|voor)\b|\b(?:for|of|zu|für|pour|voor)$", "", beside, flags=re.I).strip()


def _plate_words(found: RowReading, field: str, serial: str) -> str:
    """What a plate is: as the list says where it says so, else by whether there is a serial."""
    said = found.register.get(field, "").casefold()
    return said if said in dict(SERIAL_READINGS) else READ if serial else MISSING


def _ask_whether_here(found: RowReading, answers: dict[str, str]) -> None:
    """Ask about what the list counts but may not lie on the shelf: wanted, in a set, gone on no plain day."""
    register = found.register
    if found.beside and answers.get("want") != "here":
        here = [("here", "they are here: write them")]
        raise Ask("want", found.beside_in or f.STATE, found.beside, here, WANTED_ONLY)
    if register.get(f.FITTED) and answers.get("fitted") != "out":
        text = f"it stands in {register[f.FITTED]} by the list, and is no spare while it does"
        out = [("out", "it is out of the set: write it as lying at its place")]
        raise Ask("fitted", f.FITTED, text, out, "it is in the set: leave this row out")
    gone = register.get(f.LEFT_ON) or register.get(f.LEFT_HOW)
    if gone and not exact_day(found.left_on) and answers.get("left") != "here":
        text = f"it left the collection by the list ({gone}), on no plain day"
        raise Ask("left", f.LEFT_ON, text, [("here", "it is here: write it")])


def _here_already(before: Before, answers: dict[str, str]) -> None:
    """Ask about a row that may stand for a thing which is here."""
    if before.tag_of and answers.get("tag") != "another":
        text = f"its number is the tag of {before.tag_of}, which is in the register"
        raise Ask("tag", f.NUMBER, text, [("another", "another thing: write it with a tag of its own")], IT_IS_HERE)
    if before.alike and answers.get("already") != "more":
        run, row = before.alike
        text = f"already here from list {run}, row {row}"
        raise Ask("already", "", text, [("more", "more of the same: write it")], IT_IS_HERE)
