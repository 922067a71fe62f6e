"""The things that a row of a list stands for, or what stops it. Nothing is written here.

Types are settled, models and places found again or noted as new; what only the keeper can decide becomes a question.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.holdings.models import Tube
from inventory.holdings.rules.facts import FoundFact
from inventory.holdings.rules.part_cells import read_cells
from inventory.lists.actions.ask import Ask, Refuse, Remarks, Stop
from inventory.lists.actions.facts import (
    LONGEST_MAKER,
    exact_day,
    facts_of,
    fitting_texts,
    hazards_of,
    lines,
    making_of,
    note_of,
    part_bounds,
    too_long_texts,
)
from inventory.lists.actions.given_numbers import GivenNumbers
from inventory.lists.actions.part_sorts import columns_by_sort, with_sort
from inventory.lists.actions.places import TAKEN_AS, Places, Spot, fold
from inventory.lists.actions.questions import (
    Answers,
    by_the_count,
    duds_differ,
    many,
    no_plate,
    one_serial,
    several_types,
    twin,
    whether_here,
)
from inventory.lists.actions.register import CompanionKinds, Models, Named, Serials
from inventory.lists.actions.types import Types
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_facts import facts_of_row, piece_serial
from inventory.lists.rules.row_result import LENT
from inventory.lists.rules.rows import Group, RowReading
from inventory.sets.models import MISSING, READ, SERIAL_READINGS, SetModel, UnitModel
from tubes.models import TubeType
from tubes.queries import Knowledge

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


class ThingMaker:
    """Makes the things of rows; remembers what the register has and what the list has named so far."""

    def __init__(self, known: Knowledge, column: Callable[[str], str]) -> None:
        self.column = column
        self.type_keys = dict(TubeType.objects.values_list("name", "pk"))
        self.type_names = {pk: name for name, pk in self.type_keys.items()}
        self.types = Types(known, self.type_keys)
        self.places = Places.load()
        self.set_models, self.unit_models = Models.load(SetModel), Models.load(UnitModel)
        self.kinds = CompanionKinds.load()
        self.serials = Serials()
        self.given_numbers = GivenNumbers()

    def things(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        """The things of a row, each with its place, hazards and facts."""
        makers: dict[str, Callable[..., list[Thing] | Stop]] = {
            f.TUBES: self._tubes,
            f.CHASSIS: self._serialled,
            f.UNITS: self._serialled,
            f.COMPANIONS: self._companions,
        }
        if stop := whether_here(found, answers) or duds_differ(found, answers):
            return stop
        numbered = self.given_numbers.settle(row, found, answers, remarks)
        if isinstance(numbered, Ask | Refuse):
            return numbered
        found = numbered
        found = by_the_count(found, answers)
        if found.split:
            made = self._several(row, found, answers, remarks)
        else:
            made = makers.get(found.kind, self._parts)(row, found, answers, remarks)
        if not made or isinstance(made, Stop):
            return made
        self.given_numbers.give(row, found, len(made))
        if found.away and answers.get("away") == LENT:
            found = replace(found, register={**found.register, f.LENT: found.away.who})
        item = self._standing(found, remarks)
        if isinstance(item, Refuse):
            return item
        spot = None if "gone_on" in item else self._spot(found, remarks)
        hazards, facts, told = hazards_of(found), facts_of(found), facts_of_row(found, self.column)
        apart = any(one.whose for one in found.readings)
        return [
            replace(
                one,
                spot=spot,
                hazards=hazards,
                facts=facts,
                item=item,
                told=facts_of_row(found, self.column, at) if apart else told,
            )
            for at, one in enumerate(made)
        ]

    def type_told(self, found: RowReading, things: list[Thing]) -> str:
        """The type that the tubes of a row have; where none is written, the one that their mark settles."""
        if found.kind != f.TUBES or found.split:
            return ""
        if things:
            return self.type_names.get(things[0].values["type_id"], "")
        return self.types.by_mark(found) or ""

    def _standing(self, found: RowReading, remarks: Remarks) -> dict[str, Any] | Refuse:
        """Lent, left, last seen, as the list says."""
        item: dict[str, Any] = {}
        lent, how = found.register.get(f.LENT, ""), found.register.get(f.LEFT_HOW, "")
        if len(lent) > 120 or len(how) > 200:
            return Refuse(f.LENT if len(lent) > 120 else f.LEFT_HOW, lent or how, "too long", "shorten it")
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
            spelled = TAKEN_AS in new
            todo = "correct it if it is another place" if spelled else "move it into the room where it stands"
            remarks.add(f.PLACE, found.place_text, new, todo)
        return spot

    def _tubes(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        kind = self.types.settle(found, answers, remarks)
        if isinstance(kind, Stop):
            return kind
        if stop := twin(row, f.TUBES, found.mark, found, answers, self.serials) or many(found, answers):
            return stop
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
        made = []
        for group in found.groups:
            own = group.condition if group.condition not in found.condition else ""
            told = {"state": group.state or Tube.UNTESTED, "condition": lines(found.condition, own)}
            made += [Thing(f.TUBES, values | told, None, [], {}) for _ in range(group.count)]
        return made

    def _several(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        """The tubes of a row that names several types with a count of each, once the keeper has said so."""
        assert found.split is not None
        if stop := several_types(found, answers):
            return stop
        state = found.state or Tube.UNTESTED
        made: list[Thing] = []
        for mark in found.split.marks:
            groups = (Group(found.split.each, state, ""),)
            one = replace(found, mark=mark, stamp=self.types.known.read(mark), groups=groups, readings=())
            of_one = self._tubes(row, one, answers, remarks)
            if isinstance(of_one, Stop):
                return of_one
            made += of_one
        return made

    def _parts(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        count = found.quantity
        if count is None:
            return []
        name = found.model or found.mark
        if stop := twin(row, found.kind, name, found, answers, self.serials):
            return stop
        least, most = part_bounds(count.kind, count.figure, count.least, count.most)
        value = found.register.get(f.VALUE) or (found.mark if fold(found.mark) != fold(name) else "")
        name, value, left = with_sort(name, value, found.sort)
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
            "serial": piece_serial(found),
            "least": least,
            "most": most,
            "duds": count.duds,
            "to_count": count.to_count,
            "condition": states if not found.condition else found.condition,
            "note": lines(long, note_of(found, mate=True), left, making_of(found)),
        }
        sort = f.OTHERS if found.kind == f.OTHERS else f.PARTS
        return [
            Thing(sort, values, None, [], {}, _part_columns(found, remarks) or columns_by_sort(name, value, found.sort))
        ]

    def _serialled(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        name = found.model
        stop = no_plate(found) or twin(row, found.kind, name, found, answers, self.serials) or many(found, answers)
        if stop:
            return stop
        count = one_serial(found, answers)
        if isinstance(count, Stop):
            return count
        if not count:
            return []
        models = self.set_models if found.kind == f.CHASSIS else self.unit_models
        model, new = models.find(name)
        if new:
            self._new_model(found.kind, name, remarks)
        plate = _plate_words(found, f.PLATE, found.serial)
        if not found.serial and not found.register.get(f.PLATE):
            remarks.add(f.SERIAL, "", "the list gives no serial: written as without a number", "read the plate")
        note = lines(found.condition, note_of(found, mate=True), making_of(found))
        made = []
        for at in range(count):
            serial = found.serial if at == 0 else ""
            values = {"serial": serial, "serial_reading": plate if at == 0 else MISSING, "note": note}
            made.append(Thing(found.kind, values, None, [], {}, model))
        return made

    def _new_model(self, kind: str, name: str, remarks: Remarks) -> None:
        what = "plug-in unit model" if kind == f.UNITS else "set model"
        told = "it fits no set yet" if kind == f.UNITS else "of the kind other, without a neutralized position"
        remarks.add(f.MODEL, name, f"no {what} is called {name}: a new one, {told}", "complete it on its own page")

    def _companions(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> list[Thing] | Stop:
        if stop := no_plate(found):
            return stop
        word = None if found.own else _BOOK.search(found.model)
        name = (word.group().lower() if word else found.model)[:60]
        of_set = self._set_of(found, word, answers, remarks)
        if isinstance(of_set, Stop):
            return of_set
        model, new = of_set
        kind = self.kinds.find(model, name)
        named = f"{model.name} {name}"
        if stop := twin(row, f.COMPANIONS, named, found, answers, self.serials) or many(found, answers):
            return stop
        count = one_serial(found, answers)
        if isinstance(count, Stop):
            return count
        if not count:
            return []
        if new:
            self._new_model(f.CHASSIS, model.name, remarks)
        note = lines(found.condition, note_of(found, mate=True), making_of(found))
        made = []
        for at in range(count):
            serial, mate = (found.serial, found.mate_serial) if at == 0 else ("", "")
            values = {
                "serial": serial,
                "serial_reading": _plate_words(found, f.PLATE, serial) if at == 0 else MISSING,
                "mate_serial": mate,
                "mate_reading": _plate_words(found, f.MATE_PLATE, mate) if at == 0 else MISSING,
                "note": note,
            }
            made.append(Thing(f.COMPANIONS, values, None, [], {}, kind))
        return made

    def _set_of(
        self, found: RowReading, word: re.Match[str] | None, answers: Answers, remarks: Remarks
    ) -> tuple[Named, bool] | Stop:
        """The set model that a companion belongs to: named beside it, else known by its mate's serial, else asked."""
        chosen = answers.get("set", "")
        if known := self.set_models.chosen(chosen):
            return known, False
        if chosen == NOT_KNOWN or chosen.startswith(NEW_MODEL):
            return self.set_models.find(chosen.removeprefix(NEW_MODEL))
        if named := found.for_set if found.own else _set_beside(found, word) or found.for_set:
            if len(named) > 80:
                return Refuse(f.MODEL, named, "longer than 80 letters", "move the words to the notes")
            return self.set_models.find(named)
        mates = self.serials.models_bearing(found.mate_serial) if found.mate_serial else set()
        if len(mates) == 1:
            name = mates.pop()
            reason = f"taken for one of a {name}, since a {name} bears {found.mate_serial}"
            remarks.add(f.MODEL, found.model, reason, "correct it if it is not")
            return self.set_models.find(name)
        text = f"which model of set {found.model} belongs to is not said"
        more = [(NEW_MODEL, "a model that is not here yet: give its name"), (NOT_KNOWN, "not known")]
        return Ask("set", f.MODEL, text, [*self.set_models.choices(), *more])


def _part_columns(found: RowReading, remarks: Remarks) -> dict[str, Any]:
    """What a list out says of a part by its figures; nothing where it does not, or not so that it could be so."""
    try:
        return read_cells(found.register)
    except ValueError as fault:
        remarks.add(f.PART_TYPE[0], found.register[f.PART_TYPE[0]], str(fault), "give the lot its kind on its page")
        return {}


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
