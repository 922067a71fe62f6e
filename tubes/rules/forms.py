"""Forms of one type: 6SK7 and 6SK7GT, 6V6 and 6V6G, 5U4G and 5U4GB, 6AK5 and 6AK5W.

What the letters mean: ``family.py``. Another envelope asks for a look at shielding and room; a later issue (A to F)
serves for those before it and not the reverse; W is ruggedized. A form takes from the type it is a form of the figures
that it lacks itself, never from a later issue or a ruggedized build; figures of its own always stand. Where the letters
tell nothing, a type takes what it lacks from the one that a row relates it to (``lending.py``). A type of which a
handbook alone tells lends along such rows and never by letters: its name may be another maker's.
"""

import re
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace

from tubes.rules.family import SHORTEST, form_of
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.handbook import socket_of
from tubes.rules.handbook_figures import heated_by, of_handbook_alone
from tubes.rules.kinds import PLAINLY
from tubes.rules.lending import Lender, Lenders
from tubes.rules.sources import HANDBOOK
from tubes.rules.stamp_tables import DesignationRow
from tubes.rules.text import fold_key

SOURCES = "tcuk-retma, wiki-list"  # of the letters' meaning
_LETTERS = re.compile(
    r"(?P<w>W?)(?P<envelope>GTG|GGT|GT|MG|G|M|S)?(?P<a>[A-F])?(?P<w2>W?)(?P<b>[A-F])?(?P<low>[XY]?)(?P<c>[A-F])?"
)
_BARE = re.compile("[0-9A-Z]*[0-9]")
_AMERICAN = re.compile("[0-9]{1,3}[A-Z]{1,3}[0-9]")
_AMERICAN_FORM = re.compile("[0-9]{1,3}[A-Z]{1,3}[0-9](?![0-9])")
_ENVELOPES = {
    "": "metal", "G": "large glass", "GT": "small glass", "MG": "glass in a metal case", "M": "metallized glass",
    "S": "glass with a sprayed shield",
}  # fmt: skip
_GLASS = frozenset({"G", "GT"})  # bare glass: no screen of its own
_ROOM = "bulb and shield have room; a stage with tuned circuits may need alignment."
_ALSO = re.compile(r"also branded ([0-9A-Z]+)")
# Known of few types and asked of few places: a tube that lacks these alone has figures of its own.
HEATER_PCT = 6  # 12 V and 12.6 V are one heater
_BY_BUILD = {"rp_ohm", "cgp_pf", "cin_pf", "cout_pf"}
_IN_NOTES = {"cutoff", "bias"}  # read from the note of the type that it is a form of, as all fixed words are
# What one tube cannot have two of: a form whose own figure differs from its type's is told.
_TOLD = ("kind", "cathode", "base", "basing", "cap", "heater_v", "heater_a")

_LABELS = {"heater_v": ("heater voltage", " V"), "heater_a": ("heater current", " A"), "cap": ("top cap", "")}


@dataclass(frozen=True, slots=True)
class Build:
    """A designation as number and letters: ``issue`` the letters of later issues, ``low_loss`` a base X or Y."""

    number: str
    ruggedized: bool = False
    envelope: str = ""
    issue: str = ""
    low_loss: bool = False


def build_of(name: str) -> Build | None:
    """How a designation is built; None where its letters tell of another base or tube, or it is too short to say."""
    found = form_of(name)
    if found is None:
        key = fold_key(name)
        return Build(key) if len(key) >= SHORTEST and _BARE.fullmatch(key) else None
    number, letters = found
    match = _LETTERS.fullmatch(letters)
    if match is None:
        return None
    envelope = "GT" if match["envelope"] in ("GTG", "GGT") else match["envelope"] or ""
    issue = "".join(match[name] or "" for name in "abc")
    return Build(number, bool(match["w"] or match["w2"]), envelope, issue, bool(match["low"]))


@dataclass(frozen=True, slots=True)
class Difference:
    """How a form differs from another: in words, and whether the one may stand in for the other by its letters."""

    words: str
    stands_in: bool
    ruggedized: bool = False


@dataclass(frozen=True)
class Forms:
    """Types by family number. ``builds``: how each is built, by its name or the W number that it is also branded."""

    builds: Mapping[str, Build]
    families: Mapping[str, tuple[str, ...]]
    metal: frozenset[str] = field(default=frozenset())  # numbers of glass forms and a bare one, which is metal
    lenders: Lenders = field(default_factory=dict)  # of a type: those that rows relate it to
    apart: frozenset[str] = field(default=frozenset())  # names whose letters tell no form

    @classmethod
    def of(
        cls, names: Iterable[str], rows: Iterable[DesignationRow] = (), of_every_maker: Iterable[str] = ()
    ) -> "Forms":
        """The families of some types. ``rows``: notes that name the W number of a ruggedized one.

        ``of_every_maker``: names of a list that has those of all makers; behind a number that is not American their
        letters tell of another tube as often as of a form (Pen13, 13 V, and Pen13A, 33 V, in avo-vdm23).
        """
        apart = frozenset(name for name in of_every_maker if not _AMERICAN_FORM.match(fold_key(name)))
        builds = {name: build for name in names if name not in apart and (build := build_of(name)) is not None}
        for row in rows:
            also = _ALSO.search(row.note) if row.relation == "ruggedized" and "unchecked:" not in row.note else None
            build, plain = build_of(also[1]) if also else None, builds.get(row.type)
            if build and plain and row.designation in builds and build.number == plain.number:
                builds[row.designation] = build
        families: dict[str, list[str]] = defaultdict(list)
        for name, build in builds.items():
            families[build.number].append(name)
        glass = {build.number for build in builds.values() if build.envelope in _GLASS}
        bare = {build.number for build in builds.values() if not build.envelope and not build.ruggedized}
        listed = {number: tuple(sorted(found)) for number, found in families.items()}
        return cls(builds, listed, frozenset(glass & bare), apart=apart)

    def build(self, name: str) -> Build | None:
        return None if name in self.apart else self.builds.get(name) or build_of(name)

    def others(self, name: str) -> tuple[str, ...]:
        """The other types of a name's family."""
        build = self.build(name)
        return tuple(other for other in self.families.get(build.number, ()) if other != name) if build else ()

    def between(self, wanted: str, candidate: str) -> Difference | None:
        """How a candidate's form differs from the wanted one; None where they are no forms of one number."""
        here, there = self.build(wanted), self.build(candidate)
        if here is None or there is None or here.number != there.number or wanted == candidate:
            return None
        told = []
        if there.envelope != here.envelope:
            told.append(self._envelopes(here, there))
        if there.ruggedized != here.ruggedized:
            told.append("ruggedized" if there.ruggedized else "plain for ruggedized")
        if there.issue != here.issue:
            later = there.issue > here.issue
            told.append(
                f"a later issue, {there.issue}" if later else "an earlier issue: it lacks what the later raised"
            )
        if there.low_loss != here.low_loss:
            told.append("low-loss base" if there.low_loss else "no low-loss base")
        stands_in = (
            there.envelope == here.envelope
            and there.ruggedized >= here.ruggedized
            and there.issue >= here.issue
            and there.low_loss >= here.low_loss
        )
        words = ", ".join(told) or "written otherwise"
        return Difference(words, stands_in, there.ruggedized and not here.ruggedized)

    def _envelopes(self, here: Build, there: Build) -> str:
        """Without a letter a tube is metal where glass ones of its number bear one; elsewhere nothing tells."""
        told = dict(_ENVELOPES)
        if here.number not in self.metal:
            told[""] = "an envelope that the letters do not tell"
        return f"{told[there.envelope]} for {told[here.envelope]}"

    def envelope(self, name: str) -> str:
        """``metal`` or ``glass`` (bare, without a screen of its own) by its letters; empty: they do not tell."""
        build = self.build(name)
        if build is None:
            return ""
        if build.envelope in _GLASS:
            return "glass"
        plain = not build.envelope and not build.ruggedized
        return "metal" if plain and build.number in self.metal else ""

    def same_issue(self, one: str, other: str) -> bool:
        """Whether two names are forms of one number and one issue: the same tube inside, in another build."""
        here, there = self.build(one), self.build(other)
        return here is not None and there is not None and (here.number, here.issue) == (there.number, there.issue)

    def plain(self, name: str) -> bool:
        """Whether a name is an American number without letters behind: one that may be of a metal tube."""
        build = self.build(name)
        return build is not None and build == Build(build.number) and bool(_AMERICAN.fullmatch(build.number))

    def mind(self, wanted: str, candidate: str, screened: bool = True, may_be_metal: bool = False) -> str:
        """What another envelope asks to look at, in a sentence; nothing where it is the same.

        ``screened``: it amplifies, so that a shield and tuned circuits can matter (a rectifier needs neither).
        ``may_be_metal``: the letters do not tell, and nothing else says that the candidate is glass.
        """
        here, there = self.build(wanted), self.build(candidate)
        if here is None or there is None or here.envelope == there.envelope:
            return ""
        if not screened and there.envelope != "":
            return "See that its bulb has room."
        if there.envelope in _GLASS and here.envelope not in _GLASS:
            return "It may need a shield and realignment, and its bulb room (MAARC, 1991)."
        if there.envelope == "" and here.number in self.metal:
            return "Its shell is on a base pin: see that nothing else of the set is tied to that socket pin."
        if there.envelope == "" and may_be_metal:
            shell = "It may be metal: its shell may be on a base pin, see that nothing else of the set is tied to that"
            return f"{shell} socket pin. If it is glass, see that {_ROOM if screened else 'its bulb has room.'}"
        return f"See that {_ROOM}"

    def base(self, name: str, rated: Container[str]) -> str:
        """The type among ``rated`` that a form takes figures from first."""
        return next(iter(self.bases(name, rated)), "")

    def bases(self, name: str, rated: Container[str]) -> list[str]:
        """The types among ``rated`` that a form takes figures from, the nearest first: no later issue, no other W."""
        build = self.build(name)
        if build is None:
            return []

        def far(other: str) -> tuple[object, ...]:
            there = self.builds[other]
            return (
                there.envelope != build.envelope, there.ruggedized != build.ruggedized,
                len(build.issue) - len(there.issue), [-ord(letter) for letter in there.issue],
                there.low_loss != build.low_loss, other,
            )  # fmt: skip

        found = [
            other
            for other in self.others(name)
            if other in rated
            and self.builds[other].ruggedized <= build.ruggedized
            and self.builds[other].low_loss <= build.low_loss
            and self.builds[other].issue <= build.issue
        ]
        return sorted(found, key=far)


def with_forms(figures: Mapping[str, TypeFigures], forms: Forms) -> dict[str, TypeFigures]:
    """All types, forms with what they lack taken from the type they are forms of."""
    rated = with_figures(figures)
    return {name: as_form(one, forms, rated) for name, one in figures.items()}


def with_figures(figures: Mapping[str, TypeFigures]) -> dict[str, TypeFigures]:
    """The types that have figures of their own, for others to take from: by letters those that lend, by a row all."""
    return {name: one for name, one in figures.items() if (one.numbers or one.word("kind")) and not one.borrows}


def as_form(own: TypeFigures, forms: Forms, rated: Mapping[str, TypeFigures]) -> TypeFigures:
    """A type with what it lacks taken from the type it is a form of, else from one that a row relates it to.

    Itself where there is none, or where it lacks nothing.
    """
    names = [name for name in forms.bases(own.name, rated) if rated[name].lends]
    lender = None if names else _lender(own, forms, rated)
    if lender is not None:
        names = [lender.type]
    if not names:
        return own
    if clash := next((rated[name] for name in names if _other_plug(own, rated[name])), None):
        names = [name for name in names if not _other_plug(own, rated[name])]
        if not names:
            return replace(own, differs=_differing(own, clash))
    base = rated[names[0]]
    own = heated_by(own, base)
    withheld = own.unsettled | (lender.withheld if lender else frozenset())
    numbers, words = _taken(own, [rated[name] for name in names], withheld)
    if own.word("kind") in ("", base.word("kind")):
        note = "; ".join(filter(None, (own.form_note, base.word("note"), base.form_note)))
    else:
        note = own.form_note
        words = {name: word for name, word in words.items() if name not in _IN_NOTES}
    return replace(
        own,
        numbers={**own.numbers, **numbers},
        words={**own.words, **words},
        form_note=note,
        caution=own.caution or base.caution,
        taken_from=base.name if numbers or words.keys() - _IN_NOTES else "",
        taken_words=lender.words if lender and (numbers or words) else "",
        borrows=bool(words.keys() - _IN_NOTES) or not numbers.keys() <= _BY_BUILD,
        differs=_differing(own, base),
    )


def _other_plug(own: TypeFigures, base: TypeFigures) -> bool:
    """Whether base or heater make a type another tube than the one it would take figures from.

    A form of the tables may have another heater; a number of a handbook with another one is another tube.
    """
    if len({socket_of(one.word("base")) for one in (own, base)} - {""}) > 1:
        return True
    heater, theirs = own.numbers.get("heater_v"), [base.number(name) for name in ("heater_v", "alt_heater_v")]
    if heater is None or heater.grade != HANDBOOK or not any(theirs):
        return False
    return not any(abs(heater.value / volts - 1) <= HEATER_PCT / 100 for volts in theirs if volts)


def _plainly(value: object) -> object:
    """A kind as it is judged: a triode with two diodes is written in two ways."""
    return PLAINLY[value][0] if isinstance(value, str) and value in PLAINLY else value


def _taken(
    own: TypeFigures, bases: Iterable[TypeFigures], withheld: frozenset[str]
) -> tuple[dict[str, Figure], dict[str, Word]]:
    """What a type lacks, each figure of the first that has it."""
    numbers: dict[str, Figure] = {}
    words: dict[str, Word] = {}
    for base in bases:
        heated = "heater_v" in own.numbers or "heater_v" in numbers  # another connection goes with its own heater alone
        for name, figure in base.numbers.items():
            if name not in own.numbers and name not in withheld and not (name.startswith("alt_heater") and heated):
                numbers.setdefault(name, replace(figure, via=base.name, taken=True))
        for name, word in base.words.items():
            if name not in own.words and name not in withheld and name != "note":
                words.setdefault(name, replace(word, via=base.name, taken=True))
    return numbers, words


def _lender(own: TypeFigures, forms: Forms, rated: Mapping[str, TypeFigures]) -> Lender | None:
    """The first type with figures that a row relates one without figures to; those of a handbook alone come last."""
    if not of_handbook_alone(own):  # it has a row of its own: what that lacks may differ
        return None
    lenders = [one for one in forms.lenders.get(own.name, ()) if one.type in rated and one.type != own.name]
    return min(lenders, key=lambda one: not rated[one.type].lends, default=None)


def _differing(own: TypeFigures, base: TypeFigures) -> tuple[str, ...]:
    """Own figures that say otherwise than those of the type it is a form of."""
    told = []
    for name in _TOLD:
        mine = own.number(name) if name in own.numbers else own.word(name)
        theirs = base.number(name) if name in base.numbers else base.word(name)
        if mine and theirs and _plainly(mine) != _plainly(theirs):
            label, unit = _LABELS.get(name, (name, ""))
            shown = [f"{one:g}{unit}" if isinstance(one, float) else str(one) for one in (mine, theirs)]
            told.append(f"{label} {shown[0]}, that of {base.name} {shown[1]}")
    return tuple(told)
