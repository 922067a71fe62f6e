"""What is known of a type, figure by figure, each with its grade and source: the material that the judge works on.

Some things stand only in the notes of the tables, in fixed words: how many sections, full-wave or half-wave, remote
or sharp cutoff, the other connection of a tapped heater, conversion transconductance, running voltage of a regulator,
peak inverse voltage and dc output of a rectifier.
They are read here and nowhere else; what a note does not say is not known.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from tubes.rules.kinds import PLAINLY
from tubes.rules.sources import DERIVED, FROM_MEMORY, MEMORY

TRIODES = frozenset({"triode", "duotriode"})
SCREENED = frozenset({"tetrode", "beam-tetrode", "pentode"})
MIXERS = frozenset({"heptode", "other"})
RECTIFIERS = frozenset({"rectifier", "gas-rectifier"})
DIODES = RECTIFIERS | {"diode", "duodiode", "thyratron"}
REGULATORS = frozenset({"gas-regulator"})
POWER = "power"  # use of a screen-grid tube that drives a load; others amplify voltage
MERCURY, XENON, GAS, VACUUM = "mercury vapour", "xenon", "gas", "high vacuum"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its grade (one of ``sources.TOLD``) and the keys of the texts behind it.

    ``via``: the type in whose row it stands, where that is the same tube under another name, or (``taken``) the type
    that this one is a form of.
    """

    value: float
    grade: str = MEMORY
    source: str = FROM_MEMORY
    via: str = ""
    taken: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """A word (kind, cathode, base, basing, cap, note) with grade, source, ``via`` and ``taken`` as in Figure.

    ``parts``: of a note, the keeper's own and that of the tables, where there are both. ``own``: of his own row,
    whatever its grade.
    """

    value: str
    grade: str = MEMORY
    source: str = FROM_MEMORY
    via: str = ""
    taken: bool = False
    parts: tuple["Word", ...] = ()
    own: bool = False

    @property
    def each(self) -> tuple["Word", ...]:
        """The notes that it was joined from, the keeper's own first, each with its own standing; else itself."""
        return tuple(replace(one, via=self.via, taken=self.taken) for one in self.parts) or (self,)


@dataclass(frozen=True, slots=True)
class Form:
    """What sort of tube it is. ``both``: dissipations are given for both sections together.

    ``zero_bias``: made for class B without bias on its grid.
    """

    kind: str
    sections: int
    diodes: int
    cutoff: str
    wave: str
    use: str
    both: bool
    zero_bias: bool = False


@dataclass(frozen=True)
class TypeFigures:
    """All figures of a type, units as their names say (``heater_v``, ``cgp_pf``, ``freq_max_mhz``).

    A figure that is missing is not known. ``caution``: what can hurt. ``form_note``: the note of the type that the
    own note calls this one a form of; it tells the form where the own note is silent. ``taken_from``: the type that it
    is a form of, where figures are taken from there; ``borrows``: more of them than capacitances; ``differs``: own
    figures that say otherwise than that type's.
    """

    name: str
    numbers: Mapping[str, Figure] = field(default_factory=dict)
    words: Mapping[str, Word] = field(default_factory=dict)
    caution: str = ""
    form_note: str = ""
    taken_from: str = ""
    taken_words: str = ""  # how a row relates this type to that one, where no letters tell
    borrows: bool = False
    differs: tuple[str, ...] = ()
    lends: bool = True  # forms of it may take what they lack from it
    unsettled: frozenset[str] = frozenset()  # its own row and its kin contradict each other: not known, nor taken
    disputes: tuple[str, ...] = ()  # and what either says

    def word(self, name: str) -> str:
        found = self.words.get(name)
        return found.value if found else ""

    def number(self, name: str) -> float | None:
        found = self.numbers.get(name)
        return found.value if found else None

    @cached_property
    def form(self) -> Form:
        told = form_of(self.word("kind"), self.word("note"), self.form_note)
        return replace(told, cutoff=self.word("cutoff")) if "cutoff" in self.words else told

    @cached_property
    def filling(self) -> str:
        """What a rectifier holds: MERCURY, XENON, GAS (another one), VACUUM; nothing: not known."""
        return filling_of(self.word("kind"), f"{self.word('note')}; {self.form_note}", self.caution)

    @property
    def cold(self) -> bool:
        return self.word("cathode") == "cold"


def known_type(
    name: str, numbers: Mapping[str, Figure], words: Mapping[str, Word], caution: str = "", form_note: str = ""
) -> TypeFigures:
    """The figures of a type, with those that its note states added to them. A nought is no figure."""
    numbers = {key: figure for key, figure in numbers.items() if figure.value > 0}
    note = words.get("note")
    notes = note.each if note else ()
    told: dict[str, Figure] = {}
    named: dict[str, Word] = {}
    for one in reversed(notes):  # the keeper's own last: it wins
        told |= _told_by(one, numbers)
        named |= _named_by(one)
    words = {**named, **words, **_own_cutoff(notes, words)}
    own = {**told, **_per_section(numbers, words)}
    return TypeFigures(name, {**_derived(own, words), **own}, words, caution, form_note)


_CUTOFF = re.compile(r"\b(?:(?P<semi>semi-remote)|(?P<word>remote|sharp)) cutoff\b")
#: In the fixed words of the tables, and not denied: a figure at zero bias of a tube run otherwise makes it none.
_ZERO_BIAS = re.compile(
    r"(?<!not )(?<!not a )(?<!no )\bzero-bias\b|\bclass B\b[^;]*; idle current[^;]*\bat zero bias\b"
)
ZERO_BIAS = "zero-bias class B"


def cutoff_in(note: str) -> str:
    """The cutoff that a note names in its fixed words; empty: it names none."""
    match = _CUTOFF.search(note)
    return (match["semi"] or match["word"]) if match else ""


def _named_by(note: Word) -> dict[str, Word]:
    """Words that a note names: the cutoff, and how the grid is worked where that is without bias."""
    cutoff = cutoff_in(note.value)
    named = {"cutoff": replace(note, value=cutoff)} if cutoff else {}
    return named | ({"bias": replace(note, value=ZERO_BIAS)} if _ZERO_BIAS.search(note.value) else {})


def _own_cutoff(notes: Iterable[Word], words: Mapping[str, Word]) -> dict[str, Word]:
    """The cutoff that the keeper's own note names, before that of the tables; a word of his own stands before it."""
    named = next((found["cutoff"] for one in notes if one.own and "cutoff" in (found := _named_by(one))), None)
    return {"cutoff": named} if named and not ("cutoff" in words and words["cutoff"].own) else {}


def _derived(numbers: Mapping[str, Figure], words: Mapping[str, Word]) -> dict[str, Figure]:
    """Transconductance of a triode from amplification factor and plate resistance, where nobody states it."""
    mu, rp = numbers.get("mu"), numbers.get("rp_ohm")
    kind = form_of(words["kind"].value, "").kind if "kind" in words else ""
    if mu is None or rp is None or "gm_umho" in numbers or kind not in TRIODES:
        return {}
    value = float(f"{1e6 * mu.value / rp.value:.3g}")
    return {"gm_umho": Figure(value, DERIVED, ", ".join(dict.fromkeys((mu.source, rp.source))), mu.via)}


def _per_section(numbers: Mapping[str, Figure], words: Mapping[str, Word]) -> dict[str, Figure]:
    """Dissipations that a note gives for both sections together, as one section's."""
    form = form_of(words["kind"].value if "kind" in words else "", words["note"].value if "note" in words else "")
    if not form.both:
        return dict(numbers)
    halved = {n: f for n, f in numbers.items() if n in ("plate_w_max", "screen_w_max")}
    return {**numbers, **{n: Figure(f.value / 2, f.grade, f.source, f.via) for n, f in halved.items()}}


_FIG = r"(\d+(?:\.\d+)?)"
_HEATER = re.compile(r"\b(?:heaters?|filaments?)\b[^;]*|\b[\d.]+ V [\d.]+ A parallel\b")
_CONNECTION = re.compile(rf"{_FIG} V {_FIG} A")
_CONVERSION = re.compile(rf"conversion transconductance {_FIG}")
_RUNNING = re.compile(rf"about {_FIG} V(?:,| from| at) {_FIG} to {_FIG} mA")
_START = re.compile(rf"needs about {_FIG} V to start|starting about {_FIG} V")
_INVERSE = re.compile(rf"peak inverse (?:about )?{_FIG} (k?)V")
_OUTPUT = re.compile(rf"dc output {_FIG} (m?)A|{_FIG} (m?)A dc")


def _told_by(note: Word, numbers: Mapping[str, Figure]) -> dict[str, Figure]:
    """Figures that a note states: the other heater connection, conversion transconductance, running voltage."""
    told: dict[str, float] = {}
    text = note.value
    main = numbers["heater_v"].value if "heater_v" in numbers else None
    for volts, amperes in (pair for part in _HEATER.findall(text) for pair in _CONNECTION.findall(part)):
        if main is not None and float(volts) != main:
            told |= {"alt_heater_v": float(volts), "alt_heater_a": float(amperes)}
    if match := _CONVERSION.search(text):
        told["gc_umho"] = float(match[1])
    if match := _RUNNING.search(text):
        told |= {"regulation_v": float(match[1]), "regulation_ma": float(match[3])}
    if match := _START.search(text):
        told["start_v"] = float(match[1] or match[2])
    if (match := _INVERSE.search(text)) and "plate_v_max" not in numbers:
        told["plate_v_max"] = float(match[1]) * (1000 if match[2] else 1)
    if (match := _OUTPUT.search(text)) and "plate_ma_typ" not in numbers and "peak inverse" in text:
        told["plate_ma_typ"] = float(match[1] or match[3]) * (1 if match[2] or match[4] else 1000)
    return {name: Figure(value, note.grade, note.source, note.via) for name, value in told.items() if value > 0}


_LIKE = re.compile(r"(?:^|; )(?:[\d.]+ V form of (\w+)|(\w+) with (?:a )?[\d.]+ V heater)")


def form_like(note: str) -> str:
    """The type that a note calls this one a form of with another heater, or nothing."""
    match = _LIKE.search(note)
    return (match[1] or match[2]) if match else ""


_POWER = re.compile(r"\b(?:output (?:pentode|tube)|power pentode)\b")


def form_of(kind: str, own_note: str, like_note: str = "") -> Form:
    """The form of a tube by its kind and the fixed words of its note, or of that of the type it is a form of."""
    both = "dissipations (both)" in own_note
    note = f"{own_note}; {like_note}"
    kind, beside, told_use = PLAINLY.get(kind, (kind, 0, ""))
    sections = 2 if kind in ("duotriode", "duodiode") or re.search(r"\btwin\b", note) else 1
    diodes = 2 if "with two diodes" in note else 1 if "with one diode" in note else beside
    cutoff = cutoff_in(note)
    note = note.replace("full wave", "full-wave").replace("half wave", "half-wave")
    waves = ("full-wave", "half-wave", "two separate diodes")
    wave = next((word for word in waves if word in note), "") if kind in RECTIFIERS else ""
    uses = {"tuning indicator": "tuning indicator", "converter": "converter", "pentagrid mixer": "mixer"}
    use = told_use or (next((use for words, use in uses.items() if words in note), "") if kind in MIXERS else "")
    if kind in SCREENED and (kind == "beam-tetrode" or _POWER.search(note)):
        use = POWER
    return Form(kind, sections, diodes, cutoff, wave, use, both, bool(_ZERO_BIAS.search(note)))


_MERCURY = re.compile(r"(?<!no )\bmercury\b", re.IGNORECASE)
_OTHER_GAS = re.compile(r"\b(?:cold-cathode|argon|neon|helium|hydrogen|krypton)\b", re.IGNORECASE)


def filling_of(kind: str, note: str, caution: str) -> str:
    """What a rectifier holds, by its kind, the fixed words of its note and its caution; empty: not known.

    A caution that names mercury counts also where no figure of the type is known.
    """
    if (kind in RECTIFIERS and _MERCURY.search(note)) or (kind in {"", *RECTIFIERS} and _MERCURY.search(caution)):
        return MERCURY
    if kind == "rectifier":
        return VACUUM
    if kind != "gas-rectifier":
        return ""
    return XENON if "xenon" in note else GAS if _OTHER_GAS.search(note) else ""


def glows(kind: str, note: str, caution: str) -> str:
    """What a tube that glows by nature is filled with, a rectifier, a thyratron or a regulator; empty: with nothing."""
    filled = filling_of(kind, note, caution)
    if filled:
        return "" if filled == VACUUM else filled
    return GAS if kind in {"gas-rectifier", "gas-regulator", "thyratron"} else ""
