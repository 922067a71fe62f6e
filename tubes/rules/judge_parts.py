"""The words of a judgement and the steps that every check takes.

Order of verdicts: fits < with care < rewire or adapter < not known < unsuitable. A judgement is its worst finding, so a
plain reason against a tube stands even where other figures are missing, and a missing figure outweighs everything but
such a reason: nothing "fits" by what is not known.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from tubes.rules.figures import Figure, TypeFigures
from tubes.rules.limits import Limits
from tubes.rules.sources import BY_HEART
from tubes.rules.units import show_frequency

FITS, CARE, REWIRE, UNKNOWN, UNSUITABLE = range(5)
VERDICTS = ("fits", "with care", "rewire or adapter", "not known", "unsuitable")
SLACK = 1e-9  # of rounding: 6.3 V on a 6 V heater is 5 % over, not a hair more


@dataclass(frozen=True, slots=True)
class Conditions:
    """How the wanted type works in its place. What is None is assumed: the wanted type's own rated value.

    ``supply_v``: volts at the pins of a parallel supply, or of the whole string where ``series``; ``string_a``: the
    string's current; ``budget_a``: what a parallel supply can give at this position. ``plate_v`` volts (peak inverse
    for rectifiers), ``plate_w`` watts a section, ``screen_v`` volts, ``screen_w`` watts a section, ``output_ma`` dc
    output of a rectifier, ``frequency_mhz`` Mc. ``neutralized``, ``tuned``: capacitances count there.
    ``switched_together``: the set switches plate and filament together; ``on_side``: tubes do not stand upright in it.
    ``gain_controlled``: whether AVC or a gain control sets the bias there; None: not known.
    """

    series: bool = False
    supply_v: float | None = None
    string_a: float | None = None
    budget_a: float | None = None
    plate_v: float | None = None
    plate_w: float | None = None
    screen_v: float | None = None
    screen_w: float | None = None
    output_ma: float | None = None
    frequency_mhz: float | None = None
    neutralized: bool = False
    tuned: bool = False
    switched_together: bool = False
    on_side: bool = False
    gain_controlled: bool | None = None


Value = float | str | None
Answer = tuple[int, str]  # rank and the reason in words


@dataclass(frozen=True, slots=True)
class Finding:
    """One check: what was wanted, what the candidate has, the limit, all in words and with the texts behind them."""

    check: str
    rank: int
    wanted: Value
    candidate: Value
    limit: Value
    text: str
    source: str
    taken_from: str = ""  # the type that the candidate's figure is taken from, which it is a form of
    wanted_taken_from: str = ""

    @property
    def verdict(self) -> str:
        return VERDICTS[self.rank]

    def as_dict(self) -> dict[str, Value]:
        return {
            "check": self.check,
            "verdict": self.verdict,
            "wanted": self.wanted,
            "candidate": self.candidate,
            "limit": self.limit,
            "text": self.text,
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class Judgement:
    """All findings about a candidate in the place of a wanted type, and what the change entails."""

    wanted: str
    candidate: str
    findings: tuple[Finding, ...]
    consequences: tuple[str, ...] = ()
    grades: Callable[[str], dict[str, Value]] | None = field(default=None, compare=False, repr=False)  # by check

    @property
    def rank(self) -> int:
        """The worst finding; with no finding at all nothing is known."""
        return max((finding.rank for finding in self.findings), default=UNKNOWN)

    @property
    def verdict(self) -> str:
        return VERDICTS[self.rank]

    @property
    def telling(self) -> tuple[Finding, ...]:
        """The findings that speak against a plain fit, worst first."""
        against = (f for f in self.findings if f.rank not in (FITS, UNKNOWN))
        return tuple(sorted(against, key=lambda one: -one.rank))

    @property
    def unknown(self) -> tuple[str, ...]:
        """The checks that a missing figure left open."""
        return tuple(f.check for f in self.findings if f.rank == UNKNOWN)

    def of(self, check: str) -> Finding | None:
        """The finding of a check, if it was made."""
        return next((finding for finding in self.findings if finding.check == check), None)

    def as_dict(self) -> dict[str, object]:
        return {
            "wanted": self.wanted,
            "candidate": self.candidate,
            "verdict": self.verdict,
            "findings": [one.as_dict() | (self.grades(one.check) if self.grades else {}) for one in self.findings],
            "consequences": list(self.consequences),
            **({"taken_from": self.taken} if self.taken else {}),
        }

    @property
    def taken(self) -> list[dict[str, str]]:
        """Checks that rest on a figure taken from the type that the wanted one or the candidate is a form of."""
        told = [(f.check, self.candidate, f.taken_from) for f in self.findings if f.taken_from]
        told += [(f.check, self.wanted, f.wanted_taken_from) for f in self.findings if f.wanted_taken_from]
        return [{"check": check, "type": name, "from": base} for check, name, base in told]


class Sourced(Protocol):
    """A figure or a word with what stands behind it."""

    @property
    def grade(self) -> str: ...
    @property
    def source(self) -> str: ...
    @property
    def via(self) -> str: ...
    @property
    def taken(self) -> bool: ...


def at_least(have: float | None, need: float | None, fits_pct: float, over_pct: float) -> int:
    """A maximum against what is asked of it: enough (to ``fits_pct`` per cent); over by ``over_pct``; over by more."""
    if have is None or need is None:
        return UNKNOWN
    if need <= have * (1 + fits_pct / 100) * (1 + SLACK):
        return FITS
    return CARE if need <= have * (1 + over_pct / 100) * (1 + SLACK) else UNSUITABLE


def in_band(ratio: float, inner: tuple[float, float], outer: tuple[float, float]) -> int:
    """A ratio inside the inner band, inside the outer one, or beyond."""
    if inner[0] * (1 - SLACK) <= ratio <= inner[1] * (1 + SLACK):
        return FITS
    return CARE if outer[0] * (1 - SLACK) <= ratio <= outer[1] * (1 + SLACK) else UNSUITABLE


def memory_words(wanted: Sourced | None, candidate: Sourced | None) -> str:
    """Says which of the two figures is from memory, and whose row a figure was taken from."""
    ours, theirs = (BY_HEART.get(one.grade, "") if one is not None else "" for one in (wanted, candidate))
    if ours and ours == theirs:
        words = f" (both figures {ours})"
    else:
        said = (f"wanted: {ours}" if ours else "", f"candidate: {theirs}" if theirs else "")
        words = f" ({'; '.join(filter(None, said))})" if ours or theirs else ""
    if candidate is not None and candidate.via:
        words += f" (taken from {candidate.via})" if candidate.taken else f" (figure of {candidate.via}, the same tube)"
    if wanted is not None and wanted.taken:
        words += f" (wanted: taken from {wanted.via})"
    return words


def amount(value: float | None, unit: str) -> str:
    """A figure with its unit (Mc: as a dial shows it), or that it is not known."""
    if value is None:
        return "not known"
    return show_frequency(value * 1000) if unit == "Mc" else f"{value:g} {unit}".rstrip()


def sources_of(wanted: Sourced | None, candidate: Sourced | None, limit: str = "") -> str:
    """The texts behind a finding: ``wanted: ...; candidate: ...; limit: ...``."""
    parts = (
        f"wanted: {wanted.source}" if wanted is not None else "",
        f"candidate: {candidate.source}" if candidate is not None else "",
        f"limit: {limit}" if limit else "",
    )
    return "; ".join(part for part in parts if part)


def missing(check: str, name: str, what: str, wanted: Value, candidate: Value, source: str = "") -> Finding:
    """The finding for a figure that is not there."""
    return Finding(check, UNKNOWN, wanted, candidate, None, f"{what} of {name} is not known.", source)


@dataclass(frozen=True, slots=True)
class Case:
    """What a check looks at: the wanted type in its conditions and a candidate."""

    wanted: TypeFigures
    candidate: TypeFigures
    conditions: Conditions
    limits: Limits

    def pair(self, name: str) -> tuple[Figure | None, Figure | None]:
        return self.wanted.numbers.get(name), self.candidate.numbers.get(name)
