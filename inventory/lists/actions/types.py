"""Which type the tubes of a row are: by the mark, by a type that the list gives beside it, else a question."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from inventory.holdings.queries import types_begun
from inventory.lists.actions.ask import Ask, Refuse, Remarks, Stop
from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import RowReading
from tubes.queries import Knowledge, type_for_stamp
from tubes.rules.family import form_of
from tubes.rules.relations import is_unchecked
from tubes.rules.schemes import scheme_words
from tubes.rules.stamp import fold_key

AS_MARKED = "as marked"
CHOSEN = "type:"  # before the name of a type
MEANING = "reads:"  # before what a meaning of a number is, in full
SAID = "said:"  # before the words of one, as rows of earlier lists have it
NO_TYPE = "no type"
NAMED_TYPE = "named"  # before the keeper gives a name
OWN_TYPE = "own:"  # before the name of a type that the keeper makes of a form
LONGEST_TYPE = 40
_NOT_KNOWN = (AS_MARKED, "not known: write it as marked, without a type")
_OTHER = (NAMED_TYPE, "another type: give its name")
MOST_REMEMBERED = 20_000
#: What stands between two marks of one cell; a stroke ties two numbers of one tube as often.
_BETWEEN = re.compile(r"\s*[+,&;]\s*|\s+(?:and|or|und|oder|et|ou|en|of)\s+", re.IGNORECASE)
#: A count beside a mark: `2x 6SN7`, `6SN7 (2)`.
_COUNTS = re.compile(r"^\(?[0-9]{1,3}\s*[x×]?\)?\s+|\s+\(?[x×]?\s*[0-9]{1,3}\s*[x×]?\)?$", re.IGNORECASE)
#: What looks like a number of which more is to come: 6SN7, 12AX; never 12A, which is as often a box.
_NUMBER_LIKE = re.compile(
    r"(?:JAN-)?(?:[A-Z]{2,4}-)?[0-9]{1,3}(?:[A-Z]{1,3}[0-9]{1,2}[A-Z]{0,3}|[A-Z]{2,3})", re.IGNORECASE
)
#: The forms of marks: figures first (6SN7, 6Н8С), letters first (RE084).
_FORMS = (
    re.compile(r"[0-9]{1,3}[^\W\d_]{1,4}[0-9]{1,3}[^\W\d_]{0,3}"),
    re.compile(r"[^\W\d_]{2,4}-?[0-9]{2,4}[^\W\d_]{0,2}"),
)


@dataclass
class Types:
    """Settles types; remembers what the marks of the list came to."""

    known: Knowledge
    keys: dict[str, int]
    _settled: dict[str, str | None] = field(default_factory=dict)
    _begun: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    _two: dict[str, tuple[str, str] | None] = field(default_factory=dict)

    def settle(self, found: RowReading, answers: dict[str, str], remarks: Remarks) -> str | Stop | None:
        """The type of a row of tubes, None where it stays open, or what stops the row."""
        if found.stamp is None:
            return None
        chosen = answers.get("mark", "")
        if chosen == NO_TYPE:
            return None
        if chosen.startswith(OWN_TYPE):  # made when the list is written
            name = chosen.removeprefix(OWN_TYPE)
            if name in self.keys:
                return name
            self._say(remarks, found, f"{name} is made a type of its own when the list is written")
            return None
        if chosen.startswith(CHOSEN) and (name := chosen.removeprefix(CHOSEN)) in self.keys:
            return name
        if not found.own and chosen != AS_MARKED and (two := self._two_types(found)):
            return two
        told = self._told(found)
        if found.own and not told and not found.register.get(f.TYPE):
            if self.by_mark(found) or found.choices:
                self._say(remarks, found, "the list gives it no type: written without one, as it was there")
            return None
        if found.choices:
            return self._of_several(found, chosen, told, remarks)
        kind = self.by_mark(found)
        if odd := None if found.own or chosen == AS_MARKED else self._odd(found, kind):
            return odd
        if chosen.startswith((MEANING, SAID)) and not chosen.endswith(f"|{kind or ''}"):
            return self._no_such_meaning(found, kind)
        if told and told != kind:
            return self._told_another(found, kind, told, answers, remarks)
        return self._open(found, remarks) if kind is None and chosen != AS_MARKED else kind

    def _odd(self, found: RowReading, kind: str | None) -> Ask | None:
        """Asked of a number that a spreadsheet may have worked out, of a changed or broken tube, of none at all."""
        if found.perhaps:
            named = {name: type_for_stamp(self.known.read(name), self.known) for name in found.perhaps}
            choices = [(f"{CHOSEN}{of}", f"{name}: count it as {of}") for name, of in named.items() if of]
            text = f"{found.mark} is perhaps {' or '.join(found.perhaps)}, which a spreadsheet worked out"
            return Ask("mark", f.MARK, text, [*choices, _OTHER, _NOT_KNOWN]) if choices else None
        if found.changed and kind:
            text = f"{found.mark}: {found.changed}; whether that is a sound {kind} is not told"
            counted = (f"{CHOSEN}{kind}", f"count it as {kind}; what is said beside it stays in its mark")
            return Ask(
                "mark", f.MARK, text, [counted, (NO_TYPE, "write it as marked, without a type: a spare for none")]
            )
        return None

    def _two_types(self, found: RowReading) -> Refuse | None:
        """Refuse a cell of two marks where one is only the beginning of known types: 6SN7 + 6SL7."""
        if not _BETWEEN.search(found.mark):
            return None
        if found.mark not in self._two:
            if len(self._two) > MOST_REMEMBERED:
                self._two.clear()
            self._two[found.mark] = _two_marks(found.mark, self.known)
        if two := self._two[found.mark]:
            reason = f"two types in one cell: {two[0]} and {two[1]}"
            return Refuse(f.MARK, found.mark, reason, "give each type a row of its own")
        return None

    def _told(self, found: RowReading) -> str | None:
        """The type that the list gives beside the mark, if it is one of the tables."""
        text = found.register.get(f.TYPE, "")
        if not text or text in self.keys:
            return text or None
        return type_for_stamp(self.known.read(text), self.known)

    def by_mark(self, found: RowReading) -> str | None:
        """The type that the mark of a row settles by itself."""
        if found.stamp is None or found.choices:
            return None
        if found.mark not in self._settled:
            if len(self._settled) > MOST_REMEMBERED:
                self._settled.clear()
                self._begun.clear()
            self._settled[found.mark] = type_for_stamp(found.stamp, self.known)
        return self._settled[found.mark]

    def _of_several(self, found: RowReading, chosen: str, told: str | None, remarks: Remarks) -> str | Ask | None:
        if chosen == AS_MARKED:
            return None
        counted = [_counted(found, at, self.known) for at in range(len(found.choices))]
        if told and told in {*counted, *(one.type for one in found.choices)}:
            self._say(remarks, found, f"more than one meaning: {told} taken, as the list says beside it")
            return told
        meanings = self._meanings(found, counted)
        for kind, (key, words) in zip(counted, meanings, strict=True):
            if chosen in (key, f"{SAID}{words}"):
                return kind
        gone = (
            f"{found.mark} has not the meaning any more that was chosen; " if chosen.startswith((MEANING, SAID)) else ""
        )
        return Ask("mark", f.MARK, f"{gone}{found.why}", [*meanings, _OTHER, _NOT_KNOWN])

    @staticmethod
    def _no_such_meaning(found: RowReading, kind: str | None) -> Ask:
        """Asked where the meaning that was chosen is none any more, and the mark has one or none by now."""
        now = [(f"{CHOSEN}{kind}", f"{kind}, as the mark reads by now")] if kind else []
        text = f"{found.mark} has not the meaning any more that was chosen"
        return Ask("mark", f.MARK, text, [*now, (NO_TYPE, "write it as marked, without a type")])

    @staticmethod
    def _meanings(found: RowReading, counted: list[str | None]) -> list[tuple[str, str]]:
        """The meanings of a number to choose from; one that is only a lead is counted under its own mark.

        A key says all that the keeper reads: a meaning that is another by now is not taken for the one chosen.
        """
        choices = []
        for at, one in enumerate(found.choices):
            words = f"{one.designation}, {scheme_words(one.scheme)}: {one.type or 'not in the tables'}"
            if len(found.choices) == 1 and not (
                found.stamp and found.stamp.ambiguous
            ):  # not a meaning of the whole mark, of which only this part is known
                words = f"all the same {one.type}: nothing else of the mark is part of its number"
            if one.type and counted[at] != one.type:
                words += f", a lead that nobody checked; counted as {counted[at] or 'no type'}"
            told = (one.scheme, one.designation, one.type or "", counted[at] or "")
            choices.append((f"{MEANING}{'|'.join(told)}", words))
        return choices

    def _told_another(
        self, found: RowReading, kind: str | None, told: str, answers: dict[str, str], remarks: Remarks
    ) -> str | Ask:
        """A type beside the mark that is not what the mark says."""
        if kind is None:
            self._say(remarks, found, f"the mark does not settle the type: {told} taken, as the list says beside it")
            return told
        if told in self.known.kin.same_as(kind):
            return told
        if answers.get("type") in (kind, told):
            return answers["type"]
        text = f"{found.mark} reads as {kind}, and the list says {told}"
        return Ask("type", f.TYPE, text, [(told, f"a {told}, as the list says"), (kind, f"a {kind}, as it is marked")])

    def _open(self, found: RowReading, remarks: Remarks) -> Ask | None:
        """A mark that settles no type: asked about where it is the beginning of known ones, else remarked."""
        if found.mark not in self._begun:
            self._begun[found.mark] = [
                (f"{CHOSEN}{name}", words) for name, words in types_begun(found.mark, self.known)
            ]
        asked = self._of_two(found) or self._of_form(found)
        if not asked and (begun := self._begun[found.mark]):
            asked = Ask(
                "mark", f.MARK, f"{found.mark} is no full number; these begin alike", [*begun, _OTHER, _NOT_KNOWN]
            )
        if asked:
            remarks.drop(found.not_known)
            return asked
        if not any(found.mark in " ".join(one.found.split()) for one in remarks.rows if one.found):
            self._say(remarks, found, f"{found.mark} does not settle the type; the tube counts as a spare for none")
        return None

    def _named(self, found: RowReading) -> list[str]:
        """The types that a mark names, where they are more than one."""
        assert found.stamp is not None
        named: list[str] = []
        for one in found.stamp.readings:
            sure = one.type and one.relation == "same" and not is_unchecked(one.note)
            if sure and not self.known.kin.same_as(str(one.type)) & {*named}:
                named.append(str(one.type))
        return named if len(named) > 1 else []

    def _of_two(self, found: RowReading) -> Ask | None:
        """Asked of a mark that names two tubes: 807 or 1625."""
        named = self._named(found)
        if not named:
            return None
        text = f"{found.mark} names {' and '.join(named)}: which it is, is not told"
        return Ask("mark", f.MARK, text, [*((f"{CHOSEN}{name}", name) for name in named), _OTHER, _NOT_KNOWN])

    def _of_form(self, found: RowReading) -> Ask | None:
        """Asked of a mark that by its letters is a form of a known type and no type itself: 6SN7GTY of 6SN7GT."""
        assert found.stamp is not None
        choices: list[tuple[str, str]] = []
        for one in found.stamp.readings:
            name, forms = one.designation, self.known.kin.forms
            others = forms.others(name) if form_of(name) and not one.type and len(name) <= LONGEST_TYPE else ()
            told = {other: between for other in others if (between := forms.between(other, name))}
            if told:
                choices.append((f"{OWN_TYPE}{name}", f"make {name} a type of its own, a form of {', '.join(told)}"))
            choices += [
                (f"{CHOSEN}{other}", f"count it as {other} (this one: {between.words})")
                for other, between in told.items()
                if between.stands_in
            ]
        if not choices:
            return None
        return Ask(
            "mark",
            f.MARK,
            f"{found.mark} is no type of the tables, by its letters a form of one",
            [*choices, _OTHER, _NOT_KNOWN],
        )

    @staticmethod
    def _say(remarks: Remarks, found: RowReading, reason: str) -> None:
        remarks.add(f.MARK, found.mark, reason, "give the type on the page of the tube")


def _counted(found: RowReading, at: int, known: Knowledge) -> str | None:
    """The type that a tube counts as when one of the meanings of its number is chosen."""
    assert found.stamp is not None
    return type_for_stamp(replace(found.stamp, readings=(found.choices[at],), ambiguous=False, leftover=""), known)


def _two_marks(mark: str, known: Knowledge) -> tuple[str, str] | None:
    """The first two marks of a cell that cannot be one tube; None where there are none."""
    parts = [_COUNTS.sub("", part.strip()) for part in _BETWEEN.split(mark)]
    meant = [(part, types) for part in parts if part and (types := _meant(part, known))]
    for at, (one, of_one) in enumerate(meant):
        for other, of_other in meant[at + 1 :]:
            kin = {name for kind in of_one for name in known.kin.same_as(kind)}
            if not kin & of_other and not any(known.tables.linked(a, b) for a in of_one for b in of_other):
                return one, other
    return _two_unknown(parts, known)


def _two_unknown(parts: Sequence[str], known: Knowledge) -> tuple[str, str] | None:
    """Two marks that no table has, of one form (RE084 + RE134): neither is a bin or a lot beside the other."""
    for form in _FORMS:
        like = [part for part in parts if form.fullmatch(part) and not any(r.type for r in known.read(part).readings)]
        for at, one in enumerate(like):
            for other in like[at + 1 :]:
                short, long = sorted((fold_key(one), fold_key(other)), key=len)
                if not long.startswith(short):
                    return one, other
    return None


def _meant(part: str, known: Knowledge) -> set[str]:
    """The types that a part of a cell can be: those of a known number, else those that begin so."""
    answer = known.read(part)
    if types := {reading.type for reading in answer.readings if reading.type}:
        return types if not answer.leftover.strip() else set()
    return {name for name, _ in types_begun(part, known, 100)} if _NUMBER_LIKE.fullmatch(part) else set()
