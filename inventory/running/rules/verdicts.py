"""Verdict on a test: good, borderline, reject or not comparable, with the limit it rests on and the reasons.

A reading is compared with the tube's own minimum on that instrument; else with the minimum of its type on that
instrument; never with a figure of another instrument. Its own first reading there, its 100 %, is told beside the
verdict. At the minimum a tube is kept (TM 11-6625-542-14-1 par. 6-7: not to be discarded for a reading at or slightly
above it); how far above it still counts as borderline is a setting. Gas above its limit, gas that is told and cannot
be judged, or words of leakage make it borderline at best, whatever it reads.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.running.rules.gas import OVER, TOLD, judge_gas, leaks
from inventory.running.rules.words import ACTIVITY_PCT, BORDERLINE_PCT
from tubes.rules.limits import Limits

GOOD, BORDERLINE, REJECT, NOT_COMPARABLE = "good", "borderline", "reject", "not comparable"
GAS, GAS_TOLD, LEAKAGE = "gas", "gas that cannot be judged", "shorts or leakage"
SHORTED = "shorted"
OTHER_SECTION = "of the other half"  # of a double tube whose sections are not numbered
_WORST_FIRST = (REJECT, NOT_COMPARABLE, BORDERLINE, GOOD)  # what is not known is never taken for good


@dataclass(frozen=True, slots=True)
class Reading:
    """One test of one section on one instrument. Figures are on that instrument's scale.

    ``first``: the tube's own first reading there; ``first_set_otherwise``: with other settings of the instrument.
    ``minimum_source``: where the figure used is from, in words.
    ``gas``: as written; ``leakage``: what was written of shorts or leakage. None: not looked at, not known.
    ``filled``: what its type is filled with, mercury or a gas; ``gas_in_current``: gas is read as a current there.
    """

    figure: float | None
    shorted: bool | None = None
    minimum: float | None = None
    type_minimum: float | None = None
    first: float | None = None
    minimum_source: str = ""
    gas: str = ""
    leakage: str = ""
    noisy: bool | None = None
    filled: str = ""
    gas_in_current: bool = False
    first_set_otherwise: bool = False


@dataclass(frozen=True, slots=True)
class Verdict:
    """``limit``: the figure that the reading was set against, and in words whose it is.

    ``doubt``: what keeps it from counting as good although it may read so (gas, leakage), ``doubt_text``: in words;
    empty: nothing. ``gas``: how the gas test stands, and in words; empty: none was done.
    ``unread``: of a tube of several sections, those that its last tests did not read.
    """

    verdict: str
    percent_of_first: float | None
    limit: float | None
    limit_from: str
    reasons: tuple[str, ...]
    doubt: str = ""
    doubt_text: str = ""
    gas: str = ""
    gas_text: str = ""
    unread: tuple[str, ...] = ()

    def doubted(self, doubt: str, reason: str) -> "Verdict":
        """Borderline at best, for that reason; what is worse stays, and hears of it."""
        verdict = REJECT if self.verdict == REJECT else BORDERLINE
        reasons = (*self.reasons, reason) if verdict == REJECT else (reason, *self.reasons)
        return replace(self, verdict=verdict, reasons=reasons, doubt=doubt, doubt_text=reason)


@dataclass(frozen=True, slots=True)
class Activity:
    """Fall of a reading when the filament is reduced, percent."""

    fall_pct: float
    strong: bool
    text: str


def percent_of(first: float | None, figure: float | None) -> float | None:
    """A reading in percent of the tube's own first one."""
    return 100 * figure / first if first and figure is not None else None


def fall_pct(first: float, now: float) -> float:
    """Fall from a first to a later reading, percent of the first. Raises ValueError where the first is not above 0."""
    if not first > 0:
        raise ValueError(f"a first reading of {first:g}; expected one above 0")
    return 100 * (1 - now / first)


def judge(reading: Reading, limits: Limits) -> Verdict:
    """The verdict on one section."""
    if reading.shorted:
        text = "Shorted or leaking: its other readings are not taken."
        return Verdict(REJECT, None, None, "", (text, "Do not put it into a set or on with the next test."))
    found = _read(reading, limits)
    if leaks(reading.leakage):
        found = found.doubted(LEAKAGE, f"Of shorts or leakage is written: {reading.leakage}. It is borderline at best.")
    gas = judge_gas(reading.gas, limits, filled=reading.filled, in_current=reading.gas_in_current)
    if gas is None:
        return found
    found = replace(found, gas=gas.standing, gas_text=gas.text)
    if gas.standing in (OVER, TOLD):
        return found.doubted(GAS if gas.standing == OVER else GAS_TOLD, f"{gas.text} It is borderline at best.")
    return replace(found, reasons=(*found.reasons, gas.text))


def _read(reading: Reading, limits: Limits) -> Verdict:
    """The verdict by the figure alone, with what else was seen beside it."""
    percent = percent_of(reading.first, reading.figure)
    limit, whose = _limit(reading)
    reasons = _beside(reading, percent)
    if reading.figure is None:
        return Verdict(NOT_COMPARABLE, None, limit, whose, ("No reading was taken.", *reasons))
    if limit is None:
        text = "No minimum is known for it on this instrument; a figure of another instrument says nothing."
        return Verdict(NOT_COMPARABLE, percent, None, "", (text, *reasons))
    verdict, text = _against(reading.figure, limit, whose, limits)
    return Verdict(verdict, percent, limit, whose, (text, *reasons))


def _limit(reading: Reading) -> tuple[float | None, str]:
    source = f" ({reading.minimum_source})" if reading.minimum_source else ""
    if reading.minimum is not None:
        return reading.minimum, f"its own minimum{source}"
    if reading.type_minimum is not None:
        return reading.type_minimum, f"the minimum of its type{source}"
    return None, ""


def _against(figure: float, limit: float, whose: str, limits: Limits) -> tuple[str, str]:
    band = limits[BORDERLINE_PCT]
    if figure < limit:
        return REJECT, f"{figure:g} is below {limit:g}, {whose}."
    if figure <= limit * (1 + band / 100):
        where = "at" if figure == limit else "above"
        text = f"{figure:g} is {where} {limit:g}, {whose}, and within {band:g} % of it ({limits.told(BORDERLINE_PCT)})."
        return BORDERLINE, text
    return GOOD, f"{figure:g} is above {limit:g}, {whose}."


def _beside(reading: Reading, percent: float | None) -> tuple[str, ...]:
    """What else was seen; it goes with the verdict and does not change it."""
    told = []
    if percent is not None:
        beside = "; the settings differ" if reading.first_set_otherwise else ""
        told.append(f"{percent:.1f} % of its own first reading{beside}.")
    if reading.shorted is None and not leaks(reading.leakage):
        told.append("Shorts and leakage were not looked at.")
    if reading.noisy:
        told.append("Noisy: not for a sensitive position.")
    return tuple(told)


def whole_tube(verdicts: Mapping[str, Verdict], sections: Sequence[str]) -> Verdict:
    """The verdict on a tube of several sections: that of its worst. ``sections``: those it has; one without a test
    leaves the tube not comparable, unless another is a reject. Raises ValueError without any section."""
    missing = [section for section in sections if section not in verdicts]
    told = [*verdicts.items()]
    told += [(s, Verdict(NOT_COMPARABLE, None, None, "", ("Not read.",), unread=(s,))) for s in missing]
    if not told:
        raise ValueError("a tube without a section: expected at least one")
    worst = min((one for _, one in told), key=lambda one: _WORST_FIRST.index(one.verdict))
    if len(told) == 1:
        return worst
    reasons = tuple(_of_section(name, one) for name, one in told)
    doubted = next((one for _, one in told if one.doubt), worst)
    return replace(
        worst, reasons=reasons, doubt=doubted.doubt, doubt_text=doubted.doubt_text, gas="", gas_text="",
        unread=tuple(missing),
    )  # fmt: skip


def _of_section(name: str, found: Verdict) -> str:
    if found.unread:
        return f"Section {name} not read in the last test."
    return f"Section {name}: {found.verdict}. {_foremost(found)}"


def _foremost(found: Verdict) -> str:
    """The first reason, and the doubt where that is another one."""
    return " ".join(dict.fromkeys(text for text in (found.reasons[0], found.doubt_text) if text))


def against(verdict: Verdict, *, shorted: bool) -> str:
    """What the last tests of a tube say against it, in a word or two; empty: nothing does.

    A reading near its limit is nothing against a tube (``BORDERLINE`` without a doubt), nor is one that was not judged.
    """
    words = [SHORTED if shorted else REJECT] if shorted or verdict.verdict == REJECT else []
    if verdict.doubt and not (shorted and verdict.doubt == LEAKAGE):
        words.append(verdict.doubt)
    return ", ".join(words)


def activity(normal: float, reduced: float, limits: Limits) -> Activity:
    """The activity test: how far a reading falls when the filament is reduced by about a tenth.

    A strong tube hardly moves, a weak one falls steeply (margin checking, W. Donzelli, classiccmp list); from where it
    counts as weak is a setting (common practice, no source). Raises ValueError where the normal reading is not above 0.
    """
    fall, most = fall_pct(normal, reduced), limits[ACTIVITY_PCT]
    strong = fall <= most
    words = "at most" if strong else "more than"
    text = f"Falls {fall:.1f} % with reduced filament, {words} {most:g} % ({limits.told(ACTIVITY_PCT)})."
    return Activity(fall, strong, text)
