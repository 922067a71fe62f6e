"""Regulator tubes: running voltage, current and starting voltage, as the notes of the tables give them."""

from tubes.rules.judge_parts import (
    CARE,
    FITS,
    UNKNOWN,
    Case,
    Finding,
    amount,
    in_band,
    memory_words,
    missing,
    sources_of,
)
from tubes.rules.limits import Limits


def regulation_rank(need: float | None, have: float | None, limits: Limits) -> int:
    """Running voltage of a regulator tube."""
    if need is None or have is None:
        return UNKNOWN
    fits, care = limits["judge.regulation_pct"] / 100, limits["judge.regulation_care_pct"] / 100
    return in_band(have / need, (1 - fits, 1 + fits), (1 - care, 1 + care))


def regulator_findings(case: Case) -> list[Finding]:
    """Findings about a regulator tube; where the running voltage is not known, the rest says nothing."""
    check, (wanted, candidate) = "running voltage", case.pair("regulation_v")
    source = sources_of(wanted, candidate, case.limits.source("judge.regulation_pct", "judge.regulation_care_pct"))
    values = (wanted.value if wanted else None, candidate.value if candidate else None)
    if wanted is None or candidate is None:
        name = case.candidate.name if candidate is None else case.wanted.name
        return [missing(check, name, "Running voltage", *values, source)]
    rank = regulation_rank(wanted.value, candidate.value, case.limits)
    fits, care = case.limits["judge.regulation_pct"], case.limits["judge.regulation_care_pct"]
    text = f"Regulates about {wanted.value:g} V wanted, {case.candidate.name} about {candidate.value:g} V"
    text += f"{memory_words(wanted, candidate)}."
    found = [Finding(check, rank, *values, f"within {fits:g} %, with care {care:g} %", text, source)]
    found.append(_cover(case, "largest current", "regulation_ma", "mA", at_least_needed=True))
    found.append(_cover(case, "starting voltage", "start_v", "V", at_least_needed=False))
    return found


def cover_rank(need: float | None, have: float | None, at_least_needed: bool) -> int:
    """Current of a regulator: no less is wanted. Starting voltage: no more is wanted. Otherwise with care."""
    if need is None or have is None:
        return UNKNOWN
    return FITS if (have >= need if at_least_needed else have <= need) else CARE


def _cover(case: Case, check: str, name: str, unit: str, at_least_needed: bool) -> Finding:
    wanted, candidate = case.pair(name)
    values = (wanted.value if wanted else None, candidate.value if candidate else None)
    rank = cover_rank(*values, at_least_needed)
    text = f"{check.capitalize()} {amount(values[0], unit)} wanted, {case.candidate.name} {amount(values[1], unit)}"
    limit = "no less" if at_least_needed else "no more"
    return Finding(
        check, rank, *values, limit, f"{text}{memory_words(wanted, candidate)}.", sources_of(wanted, candidate)
    )
