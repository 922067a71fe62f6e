"""What becomes of a row as read, given what the register and the rest of the list hold. Nothing is written here.

A reading knows only its own row. Here the type is settled, models and places are found again or noted as new, and what
only the keeper can decide (two meanings, a serial that is there already, too many of one thing) becomes a question.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.exchange.actions.importing_facts import (
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
from inventory.exchange.actions.importing_places import Places, Spot, fold
from inventory.exchange.actions.importing_register import CompanionKinds, Models, Serials
from inventory.holdings.models import Tube
from inventory.holdings.rules import fields as f
from inventory.holdings.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, RowReading, RowRemark
from inventory.sets.models import MISSING, READ, SetModel, UnitModel
from tubes.models import TubeType
from tubes.queries import Knowledge, type_for_stamp

MOST_OF_A_ROW = 1000  # things with a tag each; more on one row is asked about
LEAVE_OUT = "leave out"
TUBE_TEXTS = {"maker": 80, "date_code": 30, "acquired_from": 120}  # columns of a tube and their letters
_BOOK = re.compile(
    r"calibration (?:book|chart|curve)|cal\.? book|chart book|coil set|eichbuch|eichkurve|carnet d'étalonnage|ijkboek",
    re.IGNORECASE,
)


@dataclass(slots=True)
class Thing:
    """One thing to write: its kind of record, the columns of its row, where it lies, what else was read."""

    kind: str
    values: dict[str, Any]
    spot: Spot | None
    hazards: list[tuple[str, str]]
    facts: dict[str, Any]
    model: Any = None


@dataclass(slots=True)
class Settled:
    """What becomes of a row. ``question`` waits for the keeper; ``to_count`` the words of a count that is not sure."""

    outcome: str
    why: str = ""
    remarks: list[RowRemark] = field(default_factory=list)
    question: dict[str, Any] = field(default_factory=dict)
    things: list[Thing] = field(default_factory=list)


class _Ask(Exception):
    """A question that only the keeper can answer."""

    def __init__(self, about: str, column: str, text: str, choices: list[tuple[str, str]]) -> None:
        self.question = {
            "about": about,
            "column": column,
            "text": text,
            "choices": [{"key": key, "words": words} for key, words in [*choices, (LEAVE_OUT, "leave this row out")]],
        }


class _Refuse(Exception):
    """A row that cannot be written; args are column, text found, reason, action."""


class Settler:
    """Settles the rows of one list in order; remembers what the list has named so far."""

    def __init__(self, known: Knowledge, column: Callable[[str], str]) -> None:
        self.known, self.column = known, column
        self.types = dict(TubeType.objects.values_list("name", "pk"))
        self.places = Places.load()
        self.set_models, self.unit_models = Models.load(SetModel), Models.load(UnitModel)
        self.kinds = CompanionKinds.load()
        self.serials = Serials()
        self.numbers: dict[str, int] = {}
        self._settled_types: dict[str, str | None] = {}

    def settle(self, row: int, found: RowReading, answers: dict[str, str] | None = None) -> Settled:
        """Settle one row; ``answers`` are the keeper's, by what they are about."""
        answers = answers or {}
        if found.outcome in (REFUSED, NOT_AN_ITEM):
            return Settled(found.outcome, found.why, list(found.remarks))
        if LEAVE_OUT in answers.values():
            return Settled(NOT_AN_ITEM, "left out by the keeper", list(found.remarks))
        remarks = list(found.remarks)
        self._number(row, found, remarks)
        try:
            things = list(self._things(row, found, answers, remarks))
        except _Ask as ask:
            question = ask.question | {"answers": answers}
            return Settled(HELD, str(question["text"]), remarks, question)
        except _Refuse as refusal:
            remark = RowRemark(*refusal.args)
            return Settled(REFUSED, remark.reason, [*remarks, remark])
        outcome = REMARKED if remarks else WRITTEN
        return Settled(outcome, "", remarks, _to_count(found, things), things)

    def _remark(self, remarks: list[RowRemark], name: str, found: str, reason: str, action: str) -> None:
        remarks.append(RowRemark(self.column(name), found, reason, action))

    def _number(self, row: int, found: RowReading, remarks: list[RowRemark]) -> None:
        if not found.number:
            return
        first = self.numbers.setdefault(fold(found.number), row)
        if first != row:
            reason = f"number {found.number} stands on row {first} too"
            self._remark(remarks, f.NUMBER, found.number, reason, "look which of the two bears it; both are kept")

    # --- the things of a row -----------------------------------------------------------------------------------------

    def _things(
        self, row: int, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]
    ) -> Iterator[Thing]:
        makers: dict[str, Callable[..., Iterator[Thing]]] = {
            f.TUBES: self._tubes,
            f.CHASSIS: self._serialled,
            f.UNITS: self._serialled,
            f.COMPANIONS: self._companions,
        }
        made = list(makers.get(found.kind, self._parts)(row, found, answers, remarks))
        if not made:
            return
        spot = self._spot(found, remarks)
        hazards, facts = hazards_of(found), facts_of(found)
        for thing in made:
            yield replace(thing, spot=spot, hazards=hazards, facts=facts)

    def _spot(self, found: RowReading, remarks: list[RowRemark]) -> Spot | None:
        if len(found.places) != 1:
            return None
        spot, why, new = self.places.find(found.places[0])
        if why:
            self._remark(remarks, f.PLACE, found.place_text, why, "say which place it is")
        elif new and spot:
            reason = f"no place of this name: {spot.path} is new"
            self._remark(remarks, f.PLACE, found.place_text, reason, "move it into the room where it stands")
        return spot

    def _tubes(self, row: int, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]) -> Iterator[Thing]:
        kind = self._type(found, answers, remarks)
        self._twin(row, f.TUBES, found.mark, found, answers)
        self._many(found, answers)
        note = note_of(found, serial=bool(found.serial), mate=True)
        values = {
            "type_id": self.types.get(kind) if kind else None,
            "marked": found.mark,
            **fitting_texts(found, TUBE_TEXTS),
            "acquired_on": exact_day(found.acquired_on),
            "note": lines(note, too_long_texts(found, TUBE_TEXTS)),
        }
        for group in found.groups:
            own = group.condition if group.condition not in found.condition else ""
            told = {"state": group.state or Tube.UNTESTED, "condition": lines(found.condition, own)}
            for _ in range(group.count):
                yield Thing(f.TUBES, values | told, None, [], {})

    def _type(self, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]) -> str | None:
        stamp = found.stamp
        if stamp is None:
            return None
        if found.choices:
            if answers.get("mark") == "as marked":
                return None
            chosen = answers.get("mark", "")
            if not (chosen.isascii() and chosen.isdecimal() and int(chosen) < len(found.choices)):
                raise _Ask("mark", self.column(f.MARK), found.why, _meanings(found, self.known))
            return _chosen(found, int(chosen), self.known)
        if found.mark not in self._settled_types:
            if len(self._settled_types) > 20_000:
                self._settled_types.clear()
            self._settled_types[found.mark] = type_for_stamp(stamp, self.known)
        kind = self._settled_types[found.mark]
        if kind is None and not any(found.mark in " ".join(r.found.split()) for r in remarks if r.found):
            reason = f"{found.mark} does not settle the type; the tube counts as a spare for none"
            self._remark(remarks, f.MARK, found.mark, reason, "give the type on the page of the tube")
        return kind

    def _parts(self, row: int, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]) -> Iterator[Thing]:
        count = found.quantity
        if count is None or (count.figure == 0 and not count.duds and not count.to_count):
            return
        name = found.model or found.mark
        self._twin(row, found.kind, name, found, answers)
        least, most = part_bounds(count.kind, count.figure, count.least, count.most)
        value = found.mark if found.model and fold(found.mark) != fold(found.model) else ""
        long = "; ".join(text for text in (name, value) if len(text) > 120)
        if long:
            self._remark(
                remarks,
                f.MODEL,
                long,
                "longer than 120 letters, cut short; the whole text is in the note",
                "shorten it",
            )
        states = lines(found.condition, *(group.condition for group in found.groups if group.condition))
        values = {
            "name": name[:120],
            "value": value[:120],
            **fitting_texts(found, {"maker": 80}),
            "least": least,
            "most": most,
            "duds": count.duds,
            "to_count": count.to_count,
            "condition": states if not found.condition else found.condition,
            "note": lines(long, note_of(found, serial=True, mate=True), origin_of(found), making_of(found)),
        }
        yield Thing(f.OTHERS if found.kind == f.OTHERS else f.PARTS, values, None, [], {})

    def _serialled(
        self, row: int, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]
    ) -> Iterator[Thing]:
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
        if not found.serial:
            self._remark(
                remarks, f.SERIAL, "", "the list gives no serial: written as without a number", "read the plate"
            )
        note = lines(found.condition, note_of(found, mate=True), making_of(found), origin_of(found))
        for at in range(count):
            serial = found.serial if at == 0 else ""
            values = {"serial": serial, "serial_reading": READ if serial else MISSING, "note": note}
            yield Thing(found.kind, values, None, [], {}, model)

    def _new_model(self, kind: str, name: str, remarks: list[RowRemark]) -> None:
        what = "plug-in unit model" if kind == f.UNITS else "set model"
        told = "it fits no set yet" if kind == f.UNITS else "of the kind other, without a neutralized position"
        self._remark(
            remarks, f.MODEL, name, f"no {what} is called {name}: a new one, {told}", "complete it on its own page"
        )

    def _companions(
        self, row: int, found: RowReading, answers: dict[str, str], remarks: list[RowRemark]
    ) -> Iterator[Thing]:
        self._plate(found)
        word = _BOOK.search(found.model)
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
                "serial_reading": READ if serial else MISSING,
                "mate_serial": mate,
                "mate_reading": READ if mate else MISSING,
                "note": note,
            }
            yield Thing(f.COMPANIONS, values, None, [], {}, kind)

    def _set_of(
        self, found: RowReading, word: re.Match[str] | None, answers: dict[str, str], remarks: list[RowRemark]
    ) -> tuple[Any, bool]:
        """The set model that a companion belongs to: named beside it, else known by its mate's serial, else asked."""
        if (chosen := answers.get("set", "")) and (known := self.set_models.by_key(chosen)):
            return known, False
        beside = (found.model[: word.start()] + found.model[word.end() :]).strip(" ,;:-/()") if word else ""
        beside = re.sub(
            r"^(?:for|of|zu|für|pour|voor)\b|\b(?:for|of|zu|für|pour|voor)$", "", beside, flags=re.I
        ).strip()
        if named := beside or found.for_set:
            if len(named) > 80:
                raise _Refuse(self.column(f.MODEL), named, "longer than 80 letters", "move the words to the notes")
            return self.set_models.find(named)
        mates = self.serials.models_bearing(found.mate_serial) if found.mate_serial else set()
        if len(mates) == 1:
            name = mates.pop()
            reason = f"taken for one of a {name}, since a {name} bears {found.mate_serial}"
            self._remark(remarks, f.MODEL, found.model, reason, "correct it if it is not")
            return self.set_models.find(name)
        text = f"which model of set {found.model} belongs to is not said"
        raise _Ask("set", self.column(f.MODEL), text, self.set_models.choices())

    # --- questions ---------------------------------------------------------------------------------------------------

    def _plate(self, found: RowReading) -> None:
        """Refuse what does not fit the columns of serialled things."""
        for name, text, most in (
            (f.MODEL, found.model, 80),
            (f.SERIAL, found.serial, 40),
            (f.MATE, found.mate_serial, 40),
        ):
            if len(text) > most:
                raise _Refuse(self.column(name), text, f"longer than {most} letters", "move the words to the notes")
        if not found.model:
            raise _Refuse(self.column(f.MODEL), "", "no model is given", "add the model")

    def _twin(self, row: int, kind: str, name: str, found: RowReading, answers: dict[str, str]) -> None:
        """Ask where the same serial is on the same model, in the register or further up in the list."""
        if not found.serial:
            return
        there = self.serials.claim(kind, name, found.serial, row)
        if there and answers.get("twin") != "another":
            text = f"{name} {found.serial} {there}: is this another one?"
            raise _Ask(
                "twin", self.column(f.SERIAL), text, [("another", "another thing with the same serial: write it")]
            )

    def _many(self, found: RowReading, answers: dict[str, str]) -> None:
        total = sum(group.count for group in found.groups)
        if total > MOST_OF_A_ROW and answers.get("many") != "all":
            text = f"{total} things on one row, each with a tag of its own"
            raise _Ask("many", self.column(f.QUANTITY), text, [("all", f"write all {total}")])

    def _one_serial(self, found: RowReading, answers: dict[str, str]) -> int:
        """How many to write: one serial beside a larger count is a question."""
        total = sum(group.count for group in found.groups)
        if total < 2 or not found.serial or answers.get("serial") == "all":
            return total
        if answers.get("serial") == "one":
            return 1
        text = f"one serial, {found.serial}, and a count of {total}"
        choices = [("one", "one thing with that serial"), ("all", f"{total} things, the others without a number")]
        raise _Ask("serial", self.column(f.QUANTITY), text, choices)


def _meanings(found: RowReading, known: Knowledge) -> list[tuple[str, str]]:
    """The meanings of a number to choose from; one that is only a lead is counted under its own mark."""
    choices = []
    for at, one in enumerate(found.choices):
        counted = _chosen(found, at, known)
        words = f"{one.designation}, {one.scheme.replace('-', ' ')}: {one.type or 'not in the tables'}"
        if one.type and counted != one.type:
            words += f", a lead that nobody checked; counted as {counted or 'no type'}"
        choices.append((str(at), words))
    return [*choices, ("as marked", "not known: write it as marked, without a type")]


def _chosen(found: RowReading, at: int, known: Knowledge) -> str | None:
    assert found.stamp is not None
    return type_for_stamp(replace(found.stamp, readings=(found.choices[at],), ambiguous=False), known)


def _to_count(found: RowReading, things: list[Thing]) -> dict[str, Any]:
    """What the list of things to count says of a row of tubes; part lots say it themselves."""
    count = found.quantity
    if found.kind != f.TUBES or count is None or not count.to_count:
        return {}
    return {"about": "count", "to_count": " ".join(count.text.split())[:80] or "no count", "made": len(things)}
