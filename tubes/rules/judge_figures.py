"""Maximum ratings, amplification, capacitances and frequency of a candidate against the working values of the place."""

from dataclasses import dataclass

from tubes.rules.figures import DIODES, MIXERS, REGULATORS, SCREENED, TRIODES, Figure, TypeFigures
from tubes.rules.judge_parts import (
    CARE,
    FITS,
    REWIRE,
    UNKNOWN,
    UNSUITABLE,
    Case,
    Conditions,
    Finding,
    amount,
    at_least,
    in_band,
    memory_words,
    missing,
    sources_of,
)
from tubes.rules.judge_regulator import regulator_findings
from tubes.rules.limits import Limits
from tubes.rules.sources import DERIVED


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A maximum rating that must cover a working value: ``condition`` names the field of Conditions."""

    check: str
    figure: str
    condition: str
    limit: str
    unit: str


PLATE_V = Ceiling("plate voltage", "plate_v_max", "plate_v", "judge.plate_v_over_pct", "V")
INVERSE_V = Ceiling("peak plate voltage", "plate_v_max", "plate_v", "judge.plate_v_over_pct", "V")
PLATE_W = Ceiling("plate dissipation", "plate_w_max", "plate_w", "judge.plate_w_over_pct", "W")
SCREEN_V = Ceiling("screen voltage", "screen_v_max", "screen_v", "judge.screen_v_over_pct", "V")
SCREEN_W = Ceiling("screen dissipation", "screen_w_max", "screen_w", "judge.screen_w_over_pct", "W")
OUTPUT = Ceiling("dc output", "plate_ma_typ", "output_ma", "judge.output_ma_over_pct", "mA")
FREQUENCY = Ceiling("frequency", "freq_max_mhz", "frequency_mhz", "judge.frequency_over_pct", "Mc")
CEILINGS = (PLATE_V, INVERSE_V, PLATE_W, SCREEN_V, SCREEN_W, OUTPUT, FREQUENCY)


@dataclass(frozen=True, slots=True)
class Band:
    """A figure that should be alike: limits ``judge.<stem>_low``, ``_high``, ``_care_low``, ``_care_high``."""

    check: str
    figure: str
    stem: str
    unit: str


MU = Band("mu", "mu", "mu", "")
GM = Band("transconductance", "gm_umho", "gm", "micromho")
CONVERSION = Band("conversion transconductance", "gc_umho", "gm", "micromho")
BANDS = (MU, GM, CONVERSION)


@dataclass(frozen=True, slots=True)
class Capacitance:
    """A capacitance that counts in a neutralized or a tuned position."""

    check: str
    figure: str
    floor: str
    entails: str


CGP = Capacitance("grid-plate capacitance", "cgp_pf", "judge.cgp_pf", "re-neutralize")
CIN = Capacitance("input capacitance", "cin_pf", "judge.tuned_pf", "realign the grid circuit")
COUT = Capacitance("output capacitance", "cout_pf", "judge.tuned_pf", "realign the plate circuit")
CAPACITANCES = (CGP, CIN, COUT)


def ceilings_for(wanted: TypeFigures, conditions: Conditions) -> list[Ceiling]:
    """The maximum ratings that count for the wanted kind. Frequency: where one is given or the wanted type has one."""
    kind = wanted.form.kind
    if kind in DIODES:
        found = [INVERSE_V, OUTPUT]
    elif kind in TRIODES:
        found = [PLATE_V, PLATE_W]
    elif kind in SCREENED or kind in MIXERS or kind == "triode-pentode":
        found = [PLATE_V, PLATE_W, SCREEN_V, SCREEN_W]
    else:
        return []
    if kind not in DIODES and need_of(FREQUENCY, wanted, conditions) is not None:
        found.append(FREQUENCY)
    return found


def bands_for(wanted: TypeFigures) -> list[Band]:
    """Mu for triodes, with gm where the wanted type states it; gm for screen-grid tubes; conversion for converters.

    A transconductance that was derived from mu says no more than mu does. The mu of a zero-bias tube varies with its
    current: where none is stated, none is asked for (``judge_grid`` tells the rest).

    The mu of the tables is the grid-screen one for some screen-grid tubes and not for others, so it is not compared.
    """
    kind = wanted.form.kind
    if kind in TRIODES:
        gm = wanted.numbers.get("gm_umho")
        mu = [] if wanted.form.zero_bias and "mu" not in wanted.numbers else [MU]
        return mu if gm is None or gm.grade == DERIVED else [*mu, GM]
    if kind in SCREENED or kind == "triode-pentode":
        return [GM]
    return [CONVERSION] if kind in MIXERS else []


def capacitances_for(wanted: TypeFigures, conditions: Conditions) -> list[Capacitance]:
    """Capacitances that must be known: those of a neutralized or tuned position of an amplifier."""
    if wanted.form.kind in DIODES or wanted.form.kind in REGULATORS:
        return []
    found = [CGP] if conditions.neutralized or conditions.tuned else []
    return found + ([CIN, COUT] if conditions.tuned else [])


def need_of(ceiling: Ceiling, wanted: TypeFigures, conditions: Conditions) -> float | None:
    """The working value: the one given, else the wanted type's own rating."""
    given: float | None = getattr(conditions, ceiling.condition)
    return wanted.number(ceiling.figure) if given is None else given


def over_keys(ceiling: Ceiling, wanted: TypeFigures, conditions: Conditions) -> tuple[str, ...]:
    """Keys of the limits: over by so much it still fits (if there is such), and it is taken with care.

    A working value that is only assumed says less against a candidate than one that was measured: least of all
    dissipations and screen voltage of a screen-grid tube that amplifies voltage, of which its stage uses a part.
    """
    if ceiling is FREQUENCY or not is_assumed(ceiling, conditions):
        return (ceiling.limit,)
    stage = wanted.form.cutoff and not wanted.form.use  # as ``judge_form`` tells a voltage amplifier
    if ceiling in (PLATE_W, SCREEN_W):
        return "judge.assumed_w_pct", "judge.assumed_stage_w_pct" if stage else "judge.assumed_w_care_pct"
    return ("judge.assumed_stage_screen_pct" if stage and ceiling is SCREEN_V else "judge.assumed_care_pct",)


def over_pcts(ceiling: Ceiling, wanted: TypeFigures, conditions: Conditions, limits: Limits) -> tuple[float, float]:
    """Per cent over the maximum that still fits, and that is taken with care."""
    *fits, care = (limits[key] for key in over_keys(ceiling, wanted, conditions))
    return (fits[0] if fits else 0.0), care


def is_assumed(ceiling: Ceiling, conditions: Conditions) -> bool:
    """Whether the working value is only the wanted type's own rating."""
    return getattr(conditions, ceiling.condition) is None


def band_edges(band: Band, limits: Limits) -> tuple[tuple[float, float], tuple[float, float]]:
    """Inner and outer band, as ratios of candidate to wanted."""
    low, high, care_low, care_high = (
        limits[f"judge.{band.stem}_{edge}"] for edge in ("low", "high", "care_low", "care_high")
    )
    return (low, high), (care_low, care_high)


def band_rank(band: Band, need: float | None, have: float | None, limits: Limits) -> int:
    if need is None or have is None:
        return UNKNOWN
    inner, outer = band_edges(band, limits)
    return in_band(have / need, inner, outer)


def capacitance_rank(what: Capacitance, need: float | None, have: float | None, limits: Limits) -> int:
    """Alike; another setting (with care); for the grid-plate capacitance of more than a ratio, another capacitor."""
    if need is None or have is None:
        return UNKNOWN
    off = abs(have - need)
    if off <= limits[what.floor] or 100 * off <= limits["judge.capacitance_pct"] * need:
        return FITS
    if what is CGP and max(have, need) > limits["judge.cgp_rewire_ratio"] * min(have, need):
        return REWIRE
    return CARE


def figure_findings(case: Case) -> tuple[list[Finding], list[str]]:
    """All findings by figures, and what the change entails."""
    wanted, conditions = case.wanted, case.conditions
    found = [_ceiling_finding(case, ceiling) for ceiling in ceilings_for(wanted, conditions)]
    bands = [_band_finding(case, band) for band in bands_for(wanted)]
    settings = [_capacitance_finding(case, what) for what in capacitances_for(wanted, conditions)]
    found += [*bands, *settings]
    if wanted.form.kind in REGULATORS:
        found += regulator_findings(case)
    return found, _entailed(case, bands, settings)


def _ceiling_finding(case: Case, ceiling: Ceiling) -> Finding:
    wanted, candidate = case.pair(ceiling.figure)
    need = need_of(ceiling, case.wanted, case.conditions)
    assumed = is_assumed(ceiling, case.conditions)
    behind = wanted if assumed else None
    fits, over = over_pcts(ceiling, case.wanted, case.conditions, case.limits)
    source = sources_of(behind, candidate, case.limits.source(*over_keys(ceiling, case.wanted, case.conditions)))
    have = candidate.value if candidate else None
    if need is None:
        return missing(ceiling.check, case.wanted.name, _title(ceiling.check), None, have, source)
    whose = f"assumed: the rating of {case.wanted.name}" if assumed else "given"
    place = f"{_title(ceiling.check)} {amount(need, ceiling.unit)} ({whose})"
    if candidate is None:
        text = f"{place}; that of {case.candidate.name} is not known."
        return Finding(ceiling.check, UNKNOWN, need, None, None, text, source)
    rank = at_least(candidate.value, need, fits, over)
    text = f"{place}; {case.candidate.name} is rated {amount(candidate.value, ceiling.unit)}"
    text += f"{memory_words(behind, candidate)}."
    if rank in (CARE, UNSUITABLE) and assumed:
        most = f"measured at most {amount(candidate.value, ceiling.unit)}"
        text += f" Depends on the {ceiling.check}: {most}." if rank == CARE else f" It would have to be {most}."
    elif rank == CARE:
        text += f" Over by no more than {over:g} %."
    limit = f"at most {fits:g} % over, with care {over:g} %"
    return Finding(ceiling.check, rank, need, candidate.value, limit, text, source)


def _title(check: str) -> str:
    return check[:1].upper() + check[1:]


def _band_finding(case: Case, band: Band) -> Finding:
    wanted, candidate = case.pair(band.figure)
    keys = [f"judge.{band.stem}_{edge}" for edge in ("low", "high", "care_low", "care_high")]
    source = sources_of(wanted, candidate, case.limits.source(*keys))
    values = (wanted.value if wanted else None, candidate.value if candidate else None)
    if wanted is None or candidate is None:
        name = case.candidate.name if candidate is None else case.wanted.name
        return missing(band.check, name, _title(band.check), *values, source)
    inner, outer = band_edges(band, case.limits)
    rank = band_rank(band, wanted.value, candidate.value, case.limits)
    limit = f"{inner[0]:g} to {inner[1]:g} times, with care {outer[0]:g} to {outer[1]:g}"
    text = (
        f"{_title(band.check)} {amount(wanted.value, band.unit)} wanted, {case.candidate.name} has "
        f"{amount(candidate.value, band.unit)}: {candidate.value / wanted.value:.2f} times"
        f"{memory_words(wanted, candidate)}."
    )
    return Finding(band.check, rank, *values, limit, text, source)


def _capacitance_finding(case: Case, what: Capacitance) -> Finding:
    wanted, candidate = case.pair(what.figure)
    source = sources_of(wanted, candidate, case.limits.source("judge.capacitance_pct", what.floor))
    values = (wanted.value if wanted else None, candidate.value if candidate else None)
    if wanted is None or candidate is None:
        name = case.candidate.name if candidate is None else case.wanted.name
        return missing(what.check, name, _title(what.check), *values, source)
    rank = capacitance_rank(what, wanted.value, candidate.value, case.limits)
    if wanted.taken or candidate.taken:  # another envelope has others
        rank = max(rank, CARE)
    limit = f"{case.limits['judge.capacitance_pct']:g} % or {case.limits[what.floor]:g} pF"
    entails = _entails(what, case.conditions)
    if wanted.taken or candidate.taken:
        text = _not_its_own(case, what, wanted, candidate)
    else:
        text = f"{_title(what.check)} {wanted.value:g} pF wanted, {case.candidate.name} has {candidate.value:g} pF"
        text += f"{memory_words(wanted, candidate)}."
    if rank == CARE:
        text += f" {_title(entails)}."
    elif rank == REWIRE:
        text += " The neutralizing capacitor may not reach that far."
    return Finding(what.check, rank, *values, limit, text, source)


def _entails(what: Capacitance, conditions: Conditions) -> str:
    """What another capacitance entails; in a tuned stage without a neutralizing capacitor there is none to set."""
    return "realign, and see that the stage is stable" if what is CGP and not conditions.neutralized else what.entails


def _not_its_own(case: Case, what: Capacitance, wanted: Figure, candidate: Figure) -> str:
    """That a capacitance is only that of the type which the tube is a form of: another envelope has another."""
    told = [
        f"the own figure of {one.name} is not known, that of {figure.via} is {figure.value:g} pF"
        for one, figure in ((case.candidate, candidate), (case.wanted, wanted))
        if figure.taken
    ]
    told += [
        f"{one.name} has {figure.value:g} pF"
        for one, figure in ((case.candidate, candidate), (case.wanted, wanted))
        if not figure.taken and figure.value != (wanted if figure is candidate else candidate).value
    ]
    return f"{_title(what.check)}: {'; '.join(told)}."


def _entailed(case: Case, bands: list[Finding], settings: list[Finding]) -> list[str]:
    told, told_to_neutralize = [], False
    if any(finding.rank in (CARE, UNSUITABLE) for finding in bands) and case.wanted.form.kind not in MIXERS:
        told.append("re-bias: mu or transconductance differs")
    for what, check in ((CGP, "grid-plate"), (CIN, "input"), (COUT, "output")):
        finding = next((f for f in settings if f.check == what.check), None)
        if finding is not None and finding.rank in (CARE, REWIRE):
            values = f"{finding.wanted:g} -> {finding.candidate:g} pF"
            values = "of another build" if finding.wanted == finding.candidate else values
            told.append(f"{_entails(what, case.conditions)}: {check} capacitance {values}")
            told_to_neutralize |= what is CGP
    if case.conditions.neutralized and not told_to_neutralize:
        told.append("re-neutralize: another tube in a neutralized position")
    elif not settings and bands:
        wanted, candidate = case.pair("cgp_pf")
        if wanted and candidate and capacitance_rank(CGP, wanted.value, candidate.value, case.limits) != FITS:
            told.append(
                f"re-neutralize if the position is neutralized: grid-plate capacitance {_differ(wanted, candidate)}"
            )
    return told


def _differ(wanted: Figure, candidate: Figure) -> str:
    return f"{wanted.value:g} -> {candidate.value:g} pF"
