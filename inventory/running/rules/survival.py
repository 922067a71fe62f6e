"""How long tubes of a kind last, from one's own: Kaplan-Meier and Weibull with tubes that still work (lifelines).

A tube withdrawn at the moment of a failure counts as still at risk; Greenwood's ``se = S sqrt(sum d / (n (n - d)))``
(NIST/SEMATECH e-Handbook 8.2.1.5, Weibull 8.4.1.3, MTBF bounds 8.4.5.1). A tube that came with hours on it is under
watch from then on only (``entry``, left truncation); one whose hours at entry are unknown must be left out and counted.
lifelines takes most of a second to load and is asked only when needed.
"""

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

MOST_LIVES = 100_000
FEWEST_FAILURES, FEW_FAILURES = 3, 10  # for a Weibull fit at all, and for one not called rough; our choice
_LONGEST = 1e7  # hours, more than a thousand years


class SurvivalRefused(ValueError):
    """Data that give no answer; the text is one line."""


@dataclass(frozen=True, slots=True)
class Life:
    """A tube watched from ``entry`` to ``hours``: there it failed, or it still worked."""

    hours: float
    failed: bool
    entry: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """The share still working after ``t`` hours, standard error (None where none is left), 95 % interval."""

    t: float
    s: float
    se: float | None
    low: float | None
    high: float | None
    at_risk: int
    failed: int


@dataclass(frozen=True, slots=True)
class Weibull:
    """``S(t) = exp(-(t / eta)^beta)`` by maximum likelihood, 95 % intervals; ``b10``: hours at which a tenth failed."""

    eta: float
    beta: float
    loglik: float
    b10: float
    eta_interval: tuple[float, float]
    beta_interval: tuple[float, float]
    b10_interval: tuple[float, float]

    def surviving(self, hours: float, since: float = 0.0) -> float:
        """The share still working, of those that had reached ``since``."""
        return math.exp((since / self.eta) ** self.beta - (hours / self.eta) ** self.beta)

    @property
    def mean(self) -> float:
        return self.eta * math.gamma(1 + 1 / self.beta)


@dataclass(frozen=True, slots=True)
class Survival:
    """``late``: tubes under watch from some hours on; ``left_out``: tubes of unknown hours, in no figure here.

    ``mtbf``: 95 % bounds of the mean time between failures if they came at a constant rate, hours.
    """

    steps: tuple[Step, ...]
    median: float | None
    median_interval: tuple[float | None, float | None]
    weibull: Weibull | None
    mtbf: tuple[float, float | None]
    events: int
    censored: int
    late: int
    left_out: int
    remarks: tuple[str, ...]

    def as_dict(self) -> dict[str, object]:
        fit = self.weibull
        return {
            "km": [{"t": step.t, "s": step.s, "se": step.se} for step in self.steps],
            "median": self.median,
            "weibull": fit and {name: getattr(fit, name) for name in ("eta", "beta", "loglik", "b10")},
            "events": self.events,
            "censored": self.censored,
        }


def survival(lives: Sequence[Life], left_out: int = 0) -> Survival:
    """The answer for tubes of one kind. Raises SurvivalRefused: no tube, no failure, a figure that is none."""
    for life in lives:
        if not 0 <= life.entry < life.hours < _LONGEST and not (life.entry == life.hours == 0):
            raise SurvivalRefused(
                f"{life.hours:g} h, under watch from {life.entry:g} h: expected hours from 0, in order"
            )
    events, total = sum(life.failed for life in lives), math.fsum(life.hours - life.entry for life in lives)
    if not total:
        raise SurvivalRefused(f"{_many(len(lives), 'tube')} and no hours among them: nothing can be said")
    mtbf = mtbf_bounds(total, events)
    if not events:
        raise SurvivalRefused(
            f"{_many(len(lives), 'tube')} and no failure among them: nothing can be said of when they fail, but that "
            f"at a constant rate there are more than {mtbf[0]:.0f} h between failures (95 % bound)"
        )
    if len(lives) > MOST_LIVES:
        raise SurvivalRefused(f"{len(lives)} tubes; at most {MOST_LIVES} are taken")
    late = sum(life.entry > 0 for life in lives)
    steps, median, around = _kaplan_meier(lives)
    weibull, why = _weibull(lives, events)
    told = [*why]
    if events < FEW_FAILURES:
        told.append(
            f"{_many(events, 'failure')} only: every figure here is rough, above all the shape. Look at the intervals."
        )
    if late:
        came = "came with hours on it and counts" if late == 1 else "came with hours on them and count"
        told.append(f"{_many(late, 'tube')} {came} from those hours on.")
        if any(step.at_risk < 5 for step in steps[: len(steps) // 2]):
            told.append("Few tubes were under watch at short life: the curve starts on little.")
    if left_out:
        told.append(f"{_many(left_out, 'tube')} of unknown hours {'is' if left_out == 1 else 'are'} left out.")
    return Survival(steps, median, around, weibull, mtbf, events, len(lives) - events, late, left_out, tuple(told))


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"


def stretches(lives: Sequence[Life]) -> list[list[Life]]:
    """Tubes parted where no tube was under watch for a while, by their hours; most often there is one stretch."""
    found: list[list[Life]] = []
    end = -1.0
    for life in sorted(lives, key=lambda one: (one.entry, one.hours)):
        if not found or life.entry >= end:
            found.append([])
        found[-1].append(life)
        end = max(end, life.hours)
    return found


def _columns(lives: Sequence[Life]) -> dict[str, Any]:
    """As lifelines wants them; ``entry`` only where a tube came late."""
    columns: dict[str, Any] = {
        "durations": [life.hours for life in lives],
        "event_observed": [life.failed for life in lives],
    }
    if any(life.entry for life in lives):
        columns["entry"] = [life.entry for life in lives]
    return columns


def _kaplan_meier(
    lives: Sequence[Life],
) -> tuple[tuple[Step, ...], float | None, tuple[float | None, float | None]]:
    from lifelines import KaplanMeierFitter
    from lifelines.exceptions import StatError
    from lifelines.utils import median_survival_times

    try:
        fitter = KaplanMeierFitter().fit(**_columns(lives))
    except StatError as fault:  # late entries: at some time all under watch had failed before the next came in
        raise SurvivalRefused(
            "at some hours no tube was under watch: those that came used do not join on to those that came new"
        ) from fault
    bounds = fitter.confidence_interval_
    table = fitter.event_table[fitter.event_table["observed"] > 0]
    shares = fitter.survival_function_.loc[table.index].iloc[:, 0]
    rows = zip(
        table.index, table["at_risk"], table["observed"], shares, bounds.loc[table.index].to_numpy(), strict=True
    )
    steps, greenwood = [], 0.0
    for at, risk, failed, s, (low, high) in rows:
        greenwood = greenwood + failed / (risk * (risk - failed)) if risk > failed else math.inf
        se = float(s) * math.sqrt(greenwood) if math.isfinite(greenwood) else None
        steps.append(Step(float(at), float(s), se, _figure(low), _figure(high), int(risk), int(failed)))
    median = next((step.t for step in steps if step.s <= 0.5 + 1e-9), None)  # a half written in binary may miss itself
    around = median_survival_times(bounds)
    return tuple(steps), median, (_figure(around.iloc[0, 0]), _figure(around.iloc[0, 1]))


def _figure(value: Any) -> float | None:
    return float(value) if math.isfinite(value) else None


def _weibull(lives: Sequence[Life], events: int) -> tuple[Weibull | None, tuple[str, ...]]:
    """The fit, or why there is none."""
    if events < FEWEST_FAILURES:
        return None, (f"No Weibull fit from {_many(events, 'failure')}; it needs {FEWEST_FAILURES}.",)
    if any(life.hours == 0 for life in lives):
        return None, ("No Weibull fit: a tube without any hours is among them.",)
    if len({life.hours for life in lives if life.failed}) == 1:
        return None, ("No Weibull fit: all failures at the same hours.",)
    from lifelines import WeibullFitter
    from lifelines.exceptions import ConvergenceError

    try:
        fitter = WeibullFitter().fit(**_columns(lives))
    except ConvergenceError:
        return None, ("No Weibull fit: these data have no best curve.",)
    rows = fitter.summary
    eta, beta = float(fitter.lambda_), float(fitter.rho_)
    ends = [
        (float(rows.loc[name, "coef lower 95%"]), float(rows.loc[name, "coef upper 95%"]))
        for name in ("lambda_", "rho_")
    ]
    b10, around = _b10(eta, beta, fitter.variance_matrix_.to_numpy())
    return Weibull(eta, beta, float(fitter.log_likelihood_), b10, ends[0], ends[1], around), ()


def _b10(eta: float, beta: float, variance: Any) -> tuple[float, tuple[float, float]]:
    """Hours at which a tenth failed, with a 95 % interval by the delta method on its logarithm."""
    depth = math.log(-math.log(0.9))
    b10 = eta * math.exp(depth / beta)
    by_eta, by_beta = 1 / eta, -depth / beta**2
    square = by_eta**2 * variance[0][0] + 2 * by_eta * by_beta * variance[0][1] + by_beta**2 * variance[1][1]
    reach = 1.959963984540054 * math.sqrt(max(float(square), 0.0))
    return b10, (b10 * math.exp(-reach), b10 * math.exp(reach))


def mtbf_bounds(total_h: float, failures: int, confidence: float = 0.95) -> tuple[float, float | None]:
    """Two-sided bounds of the mean time between failures at a constant rate, hours (NIST 8.4.5.1).

    Without a failure only the lower bound ``T / -ln(a)`` is there. A constant rate is not wear-out: tubes wear out.
    Raises SurvivalRefused for times or confidences that cannot be.
    """
    if not (0 < total_h < math.inf and failures >= 0 and 0 < confidence < 1):
        raise SurvivalRefused(f"{total_h:g} h with {failures} failures at {confidence:g}: expected hours above 0")
    rest = 1 - confidence
    if not failures:
        return total_h / -math.log(rest), None
    from scipy.special import gammaincinv  # takes a quarter of a second to load: only when asked

    # a point of chi square with 2 n degrees of freedom is twice one of the gamma distribution of shape n
    low, high = float(gammaincinv(failures + 1, 1 - rest / 2)), float(gammaincinv(failures, rest / 2))
    return total_h / low, total_h / high


# --- a table of lives -------------------------------------------------------------------------------------------------

_YES, _NO = frozenset("1 yes y true failed".split()), frozenset("0 no n false working".split())


def parse_lives(text: str, name: str = "lives") -> list[Life]:
    """Lives from a table with the columns ``hours`` and ``failed`` (1 or 0) and, if wanted, ``entry``.

    Commas, semicolons or tabs between columns, a byte-order mark and blank lines are taken, with semicolons a decimal
    comma. Raises SurvivalRefused naming ``name:line``.
    """
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    rows = [(number, line) for number, line in enumerate(lines, 1) if line.strip(" \t,;")]
    if not rows:
        raise SurvivalRefused(f"{name} is empty; expected the columns hours,failed")
    number, heading = rows[0]
    mark = next((sign for sign in ";\t," if sign in heading), ",")
    columns = [cell.lower() for cell in _cells(heading, mark, f"{name}:{number}")]
    for wanted in ("hours", "failed"):
        if columns.count(wanted) != 1:
            raise SurvivalRefused(f"{name}:{number}: expected one column {wanted!r}, found {', '.join(columns)[:80]}")
    if len(rows) > MOST_LIVES + 1:
        raise SurvivalRefused(f"{name}:{rows[MOST_LIVES + 1][0]}: more than {MOST_LIVES} rows")
    return [_life(_cells(line, mark, f"{name}:{at}"), columns, f"{name}:{at}") for at, line in rows[1:]]


def _cells(line: str, mark: str, where: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark, strict=True))]
    except csv.Error as fault:
        raise SurvivalRefused(f"{where}: cannot be read as a row of a table ({fault})") from fault


def _life(cells: list[str], columns: list[str], where: str) -> Life:
    while len(cells) > len(columns) and not cells[-1]:
        cells = cells[:-1]
    if len(cells) != len(columns):
        raise SurvivalRefused(f"{where}: {len(cells)} cells for {len(columns)} columns")
    row = dict(zip(columns, cells, strict=True))
    failed = row["failed"].lower()
    if failed not in _YES | _NO:
        raise SurvivalRefused(
            f"{where}: failed is {row['failed'][:40]!r}; expected 1 (it failed) or 0 (it still worked)"
        )
    hours, entry = _hours(row["hours"], "hours", where), _hours(row.get("entry") or "0", "entry", where)
    if entry >= hours and (entry or hours):
        raise SurvivalRefused(f"{where}: entry {entry:g} is not before hours {hours:g}")
    return Life(hours, failed in _YES, entry)


def _hours(cell: str, column: str, where: str) -> float:
    try:
        hours = float(cell.replace(",", "."))
    except ValueError:
        hours = math.nan
    if not 0 <= hours < _LONGEST or "_" in cell:
        raise SurvivalRefused(f"{where}: {column} is {cell[:40]!r}; expected hours from 0")
    return hours
