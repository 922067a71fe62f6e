"""Why a thing is taken to bear a hazard that nobody has marked on it: its type, its words, its figures, its weight.

X-rays: negligible below about 10 kV, to be measured above 10 to 15 kV (Amps list, March 2001; ECA TEP 173, 1970).
Stored charge: what a capacitor holds at its rated voltage, told from 1 J at more than 50 V on (from memory; the care is
that of DOE-HDBK-1092, 10.10.1, and a smaller one can still hurt). Weight: NIOSH 94-110, revised 2021.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from urllib.parse import urlencode

from inventory.holdings.rules.bank_text import MOST_CAPACITORS
from inventory.holdings.rules.capacitor_words import capacitors_in, named_without_value
from inventory.holdings.rules.hazard_kinds import BY_WORDS, OTHER, HazardKind
from inventory.holdings.rules.hazard_words import kinds_named
from inventory.holdings.rules.hazards import find_hazards
from inventory.holdings.rules.lifting import Lift
from inventory.holdings.rules.part_kinds import show_value
from inventory.holdings.rules.stored_energy import SAFE_V, Bank

HIGH_VOLTAGE, STORED, X_RAYS, WEIGHT, MERCURY = "high voltage", "stored charge", "X-rays", "weight", "mercury"
XRAY_V = 10_000.0
TOLD_FROM_J = 1.0
UNRECKONED = "its words name a capacitor with a voltage above 50 V and could not be reckoned"
BLEED_S = 5.0  # in so many seconds a bench wants it done; common practice, no source
AT_BEST = (25.0, 75.0, 25.0)  # reach, height, way up in cm: where one person may lift the most
FROM_FLOOR = (40.0, 30.0, 75.0)  # from the floor onto a bench, as in the worked example
_MASS = re.compile(
    r"(?<![\w.,])(?:([1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]{1,2})?)|([0-9]{1,4}(?:[.,][0-9]{1,3})?))"
    r" ?(kgs?|kilos?|kilogram(?:me)?s?|lbs?|pounds)\b",
    re.IGNORECASE,
)
_SUPPLY = re.compile(
    r"\b(?:dynamotors?|(?:vibrator|power) (?:supply|pack)|(?:plate |power |high[- ]voltage )?transformers?|trafo\w*|"
    r"umformer|genemotors?|rotary converters?|motor[- ]generators?|inverters?)\b",
    re.IGNORECASE,
)
_VOLTS = re.compile(
    r"(?<![\w.,])([1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+(?:[.,][0-9]+)?)[ -]?(k?)V(?:olts?|dc|ac)?\b", re.IGNORECASE
)
_HALVES = re.compile(r"(?<![\w.-])([0-9]{2,4})-0-[0-9]{2,4}\b")  # a winding with its middle out: 350-0-350
_BLEEDER = re.compile(r"\bbleeders?\b", re.IGNORECASE)
_NO_BLEEDER = re.compile(r"(?:\b(?:no|not|without|lacks|never|instead of)|n't)\b[^.;,]{0,20}$", re.IGNORECASE)
_GONE = re.compile(
    r"\s*\?|[^.;,]{0,20}\b(?:not (?:fitted|there)|missing|removed|absent|taken out|cut out|lacking|gone|open|"
    r"disconnected|unsoldered|should be)\b",
    re.IGNORECASE,
)
_KG_OF_LB = 0.45359237  # exact, international yard and pound agreement of 1959


@dataclass(frozen=True, slots=True)
class Ground:
    """``hazard``: words of a kind; ``text``: why, in words; ``source``: on whose word. ``figures``: what to ask the
    page of figures.
    """

    hazard: str
    text: str
    source: str
    figures: str = ""


@dataclass(frozen=True, slots=True)
class Capacitor:
    """Capacitors of one value in a set or a lot. ``pieces``: None where nobody counted; ``said``: the
    words that it was read from, empty where it has figures of its own.
    """

    uf: float
    volts: float
    pieces: int | None = 1
    mark: str = ""
    said: str = ""

    @property
    def energy_j(self) -> float:
        """Joule in one of them at its rated voltage."""
        return Bank(self.uf, self.volts).energy_j


@lru_cache(maxsize=4096)
def of_caution(text: str, whose: str) -> tuple[Ground, ...]:
    """Hazards that a caution names, each with the words that name it: of a type of tube, a set model."""
    return tuple(
        Ground(kind.words, f"caution of {whose}: {_quoted(text, kind)}", kind.source) for kind in kinds_named(text)
    )


def _quoted(text: str, kind: HazardKind, most: int = 160) -> str:
    """The clauses of a caution that name a hazard; all of it where none does by itself."""
    clauses = [part.strip() for part in re.split(r"(?<=[a-z)])[.;:](?:\s+|$)", text) if kind in kinds_named(part)]
    said = " ".join("; ".join(clauses or [text]).split())
    return said if len(said) <= most else f"{said[: most - 1].rstrip()}…"


@lru_cache(maxsize=8192)
def of_words(text: str, made: date | None = None) -> tuple[Ground, ...]:
    """Hazards that a thing's own words name, or an oil capacitor that may hold PCB. ``made``: the earliest day."""
    return tuple(
        Ground(_words(one.mark, one.name), one.reason.replace("the list says", "its words say"),
               BY_WORDS[_words(one.mark, one.name)].source)
        for one in find_hazards(text, made)
    )  # fmt: skip


def _words(mark: str, name: str) -> str:
    return name if mark in ("", OTHER) else mark


def of_lot(*capacitors: Capacitor) -> tuple[Ground, ...]:
    """A lot of capacitors of which each holds as much as can hurt when it is charged; several: all in one piece."""
    bank = [one for one in capacitors if one.volts > SAFE_V]
    energy = sum(one.energy_j for one in bank)
    if energy < TOLD_FROM_J:
        return ()
    rated = f"its rated {bank[0].volts:g} V" if len(bank) == 1 else "its rated voltages"
    said = ", ".join(one.said for one in bank if one.said)
    text = f"{energy:.3g} J in each at {rated}{f' (its words say {said})' if said else ''}"
    text += "; a charge comes back from the dielectric, also on the shelf: keep them shorted"
    return (Ground(STORED, text, BY_WORDS[STORED].source, _asked(bank, 1)),)


@lru_cache(maxsize=4096)
def capacitors_told(text: str) -> tuple[Capacitor, ...]:
    """The capacitors with their voltages that words state."""
    return tuple(Capacitor(one.uf, one.volts, said=one.said) for one in capacitors_in(text))


def held_most(typed: Capacitor | None, told: Sequence[Capacitor]) -> list[Capacitor]:
    """What a piece is by its figures or by its words, whichever holds more."""
    words = [one for one in told if one.volts > SAFE_V]
    if typed and typed.energy_j >= sum(one.energy_j for one in words) * (1 - 1e-9):
        return [typed]
    return words


@lru_cache(maxsize=4096)
def unreckoned(text: str) -> tuple[Ground, ...]:
    """That words name a capacitor with a voltage, and nothing says how much it can hold."""
    if not named_without_value(text):
        return ()
    return (Ground(STORED, UNRECKONED, BY_WORDS[STORED].source),)


def of_bank(capacitors: Sequence[Capacitor], bleeders: Sequence[float], whose: str) -> tuple[Ground, ...]:
    """The capacitors of a set together: what they hold at most, and how long the slowest bleeder on record takes.

    ``bleeders`` in ohm: nobody knows which capacitors stand across them. Each capacitor at its own rating: no more is
    in it while that is kept. Nothing is told below ``TOLD_FROM_J`` of all together.
    """
    bank = [one for one in capacitors if one.volts > SAFE_V]
    energy = sum(one.energy_j * (one.pieces or 1) for one in bank)
    if energy < TOLD_FROM_J:
        return ()
    uf, volts = sum(one.uf * (one.pieces or 1) for one in bank), max(one.volts for one in bank)
    named = ", ".join(dict.fromkeys(one.mark for one in bank if one.mark))
    text = f"{named or 'capacitors'} of {whose}: at most {energy:.3g} J at their rated voltages together"
    whole = Bank(uf, volts)
    if bleeders:
        slowest = max(bleeders)
        text += (
            f"; all of them across the bleeder of {_ohm(slowest)} are down to {SAFE_V:g} V in"
            f" {whole.seconds(slowest):.3g} s where it is whole; which of them stand across it is on the drawing, and"
            " one that does not keeps its charge"
        )
    else:
        largest = _ohm(whole.largest_ohm(BLEED_S) or 0)
        text += f"; no bleeder is on record: down to {SAFE_V:g} V in {BLEED_S:g} s takes one of {largest} at most"
    return (Ground(STORED, text, BY_WORDS[STORED].source, _asked(bank, None, bleeders)),)


def _ohm(ohm: float) -> str:
    """A resistance to three figures as drawings write it."""
    return show_value("resistor", float(f"{ohm:.3g}"))


def _asked(capacitors: Iterable[Capacitor], pieces: int | None, bleeders: Sequence[float] = ()) -> str:
    """What to ask the page of figures: so many of each in parallel, each at its own rating; empty for too many."""
    alike: Counter[tuple[float, float]] = Counter()
    for one in capacitors:
        alike[one.uf, one.volts] += pieces or one.pieces or 1
    if len(alike) > MOST_CAPACITORS:
        return ""
    each = [f"{f'{many} x ' if many > 1 else ''}{uf:g} uF {volts:g} V" for (uf, volts), many in alike.items()]
    asked = {"of": "bank", "capacitors": ", ".join(each)}
    return urlencode(asked | ({"bleeder": f"{max(bleeders):g} ohm"} if bleeders else {}))


def of_supply(text: str, volts: float | None = None, beside: str = "") -> tuple[Ground, ...]:
    """A dynamotor, vibrator supply or transformer that gives a voltage which can hurt; ``text``: name and kind of it.

    ``volts``: of its kind of part; ``beside``: what else is written of it, where a voltage may stand. Of a dynamotor it
    is told without any figure (common practice, no source).
    """
    match = _SUPPLY.search(text)
    if match is None:
        return ()
    told = f"{text}\n{beside}"
    said = [_figure(figure) * (1000 if kilo else 1) for figure, kilo in _VOLTS.findall(told)]
    said += [float(one) for one in _HALVES.findall(told)]
    highest, name = max([*said, volts or 0.0]), match.group().lower()
    if highest > SAFE_V:
        why = f"its words say {highest:g} V: there is so much while it is supplied"
    elif "dynamotor" in name or name.startswith("vibrator"):
        why = "it mostly makes plate voltage while it runs; how much is not on record"
    else:
        return ()
    return (Ground(HIGH_VOLTAGE, f"{name}: {why}", BY_WORDS[HIGH_VOLTAGE].source),)


def _figure(text: str) -> float:
    """A figure; a comma before three figures parts thousands, else it is a decimal one."""
    whole = re.fullmatch(r"[0-9]{1,3}(?:,[0-9]{3})+", text)
    return float(text.replace(",", "" if whole else "."))


def is_bleeder(words: str) -> bool:
    """Whether words name a bleeder that is there."""
    return any(
        not _NO_BLEEDER.search(words[: one.start()]) and not _GONE.match(words, one.end())
        for one in _BLEEDER.finditer(words)
    )


def of_voltages(at: Iterable[tuple[str, float]], whose: str) -> Iterator[Ground]:
    """High voltage, and X-rays from above 10 kV; ``at``: (position, plate voltage there)."""
    found = [(volts, mark) for mark, volts in at if volts > SAFE_V]
    if not found:
        return
    volts, mark = max(found, key=lambda one: one[0])
    yield Ground(HIGH_VOLTAGE, f"{volts:g} V on the plate of {mark} of {whose}", BY_WORDS[HIGH_VOLTAGE].source)
    if volts > XRAY_V:
        yield Ground(X_RAYS, f"{volts:g} V on the plate of {mark} of {whose}: above 10 kV", BY_WORDS[X_RAYS].source)


def of_rating(name: str, volts: float | None) -> tuple[Ground, ...]:
    """A type that is rated for so much that it can give X-rays; ``volts``: its highest plate or inverse voltage."""
    if volts is None or volts <= XRAY_V:
        return ()
    text = f"{name} is rated for {volts:g} V: X-rays where it is used above 10 kV"
    return (Ground(X_RAYS, text, BY_WORDS[X_RAYS].source),)


def of_weight(kg: float, whose: str) -> tuple[Ground, ...]:
    """A thing that is too heavy for one person, at the best or from the floor onto a bench."""
    best, floor = (Lift(*place, weight_kg=kg) for place in (AT_BEST, FROM_FLOOR))
    if floor.index is None or best.index is None or floor.index <= 1:
        return ()
    told = f"{best.index:.2f} at the best, {floor.index:.2f} from the floor onto a bench"
    text = f"{whose} {kg:.3g} kg: lifting index {told}{'; from 3 on a high risk' if floor.index >= 3 else ''}"
    reach, height, raised = FROM_FLOOR
    lift = {"reach": f"{reach:g} cm", "height": f"{height:g} cm", "raised": f"{raised:g} cm", "weight": f"{kg:.4g} kg"}
    return (Ground(WEIGHT, text, BY_WORDS[WEIGHT].source, urlencode({"of": "lift", **lift})),)


def weight_in(text: str) -> float | None:
    """The weight in kg that words name with its unit; the largest of several, None where there is none.

    A comma before three figures parts thousands, the heavier reading of the two; before one or two it is a decimal one.
    """
    found = [
        (float(figure.replace(",", ".")) if figure else float(thousands.replace(",", "")))
        * (1 if unit.lower().startswith("k") else _KG_OF_LB)
        for thousands, figure, unit in _MASS.findall(text)
    ]
    return max((one for one in found if one > 0), default=None)
