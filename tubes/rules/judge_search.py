"""The judge's verdicts for one place over many types at once, without the words: the same answers, in arrays.

Rules on words are asked once for each distinct pair of words; rules on figures run over numpy arrays (missing: NaN).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from tubes.rules.figures import RECTIFIERS, REGULATORS, TypeFigures
from tubes.rules.judge import Bench, checked, judge
from tubes.rules.judge_figures import (
    CAPACITANCES,
    CGP,
    Band,
    Capacitance,
    band_edges,
    bands_for,
    capacitances_for,
    ceilings_for,
    need_of,
    over_pcts,
)
from tubes.rules.judge_form import cap_answer, cathode_answer, form_answer, plug_answer
from tubes.rules.judge_grid import bias_answer, cutoff_answer, indicates, needs_bias, unbiased_rank
from tubes.rules.judge_heater import Place, of_any_emitter, place_of, tolerance_of
from tubes.rules.judge_parts import CARE, FITS, REWIRE, SLACK, UNKNOWN, UNSUITABLE, Conditions
from tubes.rules.judge_rectifier import filling_rank, rectifies
from tubes.rules.limits import Limits

Ranks = npt.NDArray[np.int8]
Floats = npt.NDArray[np.float64]
Key = TypeVar("Key")

_NUMBERS = (
    "heater_v heater_a alt_heater_v alt_heater_a plate_v_max plate_w_max screen_v_max screen_w_max plate_ma_typ "
    "freq_max_mhz mu gm_umho gc_umho cgp_pf cin_pf cout_pf regulation_v regulation_ma start_v"
).split()


@dataclass(frozen=True)
class Codes:
    """Words of all types as numbers: ``values[index[i]]`` is the word of type i."""

    values: list[Any]
    index: npt.NDArray[np.intp]

    def ranks(self, answer: Callable[[Any], int]) -> Ranks:
        """The rank of each type, asked once for each word."""
        return np.array([answer(value) for value in self.values], dtype=np.int8)[self.index]


@dataclass(frozen=True)
class TypeTable:
    """Types as arrays: one column a figure, words as codes."""

    types: Sequence[TypeFigures]
    at: dict[str, int]
    figures: dict[str, Floats]
    tolerance: Floats
    cold: npt.NDArray[np.bool_]
    borrows: npt.NDArray[np.bool_]
    taken: dict[str, npt.NDArray[np.bool_]]  # by capacitance: whether it is that of the type it is a form of
    forms: Codes
    cathodes: Codes
    plugs: Codes
    caps: Codes
    basings: Codes
    fillings: Codes

    @classmethod
    def build(cls, types: Iterable[TypeFigures], limits: Limits) -> "TypeTable":
        types = list(types)
        columns = {name: np.array([_number(t, name) for t in types], dtype=float) for name in _NUMBERS}
        return cls(
            types,
            {t.name: i for i, t in enumerate(types)},
            columns,
            np.array([_tolerance(t, limits) for t in types], dtype=float).reshape(len(types), 5).T,
            np.array([t.cold for t in types], dtype=bool),
            np.array([t.borrows for t in types], dtype=bool),
            {c.figure: np.array([_is_taken(t, c.figure) for t in types], dtype=bool) for c in CAPACITANCES},
            _codes([t.form for t in types]),
            _codes([t.word("cathode") for t in types]),
            _codes([(t.word("base"), t.word("basing")) for t in types]),
            _codes([t.word("cap") for t in types]),
            _codes([t.word("basing") for t in types]),
            _codes([t.filling for t in types]),
        )


def _number(figures: TypeFigures, name: str) -> float:
    value = figures.number(name)
    return float("nan") if value is None else value


def _tolerance(figures: TypeFigures, limits: Limits) -> tuple[float, float, float, float, bool]:
    """The four bands, and whether they are of any emitter, since it is not known."""
    found = tolerance_of(figures.word("cathode"), limits)
    band = found or of_any_emitter(limits)
    return band.low, band.high, band.care_low, band.care_high, found is None


def _codes(words: Sequence[Key]) -> Codes:
    values = list(dict.fromkeys(words))
    place = {value: i for i, value in enumerate(values)}
    return Codes(values, np.array([place[word] for word in words], dtype=np.intp))


def verdict_ranks(wanted: TypeFigures, conditions: Conditions, table: TypeTable, bench: Bench) -> Ranks:
    """The rank of every type of the table in one place (``judge_parts.VERDICTS``). Raises ValueError as ``judge``.

    Types that the marks relate are few, and much is said of them alone: the judge is asked for each.
    """
    checked(wanted, conditions)
    worst = _by_words(wanted, conditions, table, bench)
    with np.errstate(divide="ignore", invalid="ignore"):
        for ranks in (
            _heater(wanted, conditions, table, bench.limits),
            *_by_figures(wanted, conditions, table, bench.limits),
        ):
            np.maximum(worst, ranks, out=worst)
    np.maximum(worst, np.where(table.borrows | wanted.borrows, CARE, FITS).astype(np.int8), out=worst)
    for name in _kin_of(wanted.name, bench) & table.at.keys():
        worst[table.at[name]] = judge(wanted, table.types[table.at[name]], conditions, bench).rank
    return worst


def _kin_of(name: str, bench: Bench) -> frozenset[str]:
    related = {relative.type for relative in bench.kin.relatives(name)}
    return bench.kin.same_as(name) | {name} | related | set(bench.kin.forms.others(name))


def _by_words(wanted: TypeFigures, conditions: Conditions, table: TypeTable, bench: Bench) -> Ranks:
    rectifier = wanted.form.kind in RECTIFIERS
    cathode, cap = wanted.word("cathode"), wanted.word("cap")
    plug = (wanted.word("base"), wanted.word("basing"))
    gain, eye = conditions.gain_controlled, indicates(wanted.form)
    found = [
        table.forms.ranks(lambda form: form_answer(wanted.form, form)[0]),
        table.forms.ranks(lambda form: cutoff_answer(wanted.form.cutoff, form.cutoff, gain, eye)[0]),
        table.forms.ranks(lambda form: bias_answer(wanted.form, form)[0]),
        _unbiased(wanted, table, bench.limits),
        table.cathodes.ranks(lambda word: cathode_answer(cathode, word, rectifier)[0]),
        table.plugs.ranks(lambda other: plug_answer(plug, other, bench.basings)[0]),
        table.caps.ranks(lambda word: cap_answer(cap, word)[0]),
    ]
    if rectifies(wanted):
        found.append(table.fillings.ranks(lambda word: max(CARE, filling_rank(wanted.filling, word, conditions))))
    ranks: Ranks = np.maximum.reduce(found)
    return ranks


def _unbiased(wanted: TypeFigures, table: TypeTable, limits: Limits) -> Ranks:
    """Tubes that need bias where a zero-bias one stands."""
    asked = table.forms.ranks(lambda form: needs_bias(wanted.form, form)).astype(bool)
    ranks = np.zeros(len(asked), dtype=np.int8)
    for at in map(int, np.flatnonzero(asked)):  # none in the place of nearly every tube
        mu = table.types[at].number("mu")
        ranks[at] = unbiased_rank(wanted.number("mu"), mu, limits["judge.mu_low"])
    return ranks


def _ranked(cases: list[tuple[npt.NDArray[np.bool_], int]], default: int, known: npt.NDArray[np.bool_]) -> Ranks:
    ranks = np.select([~known, *(mask for mask, _ in cases)], [UNKNOWN, *(rank for _, rank in cases)], default)
    return ranks.astype(np.int8)


def _heater(wanted: TypeFigures, conditions: Conditions, table: TypeTable, limits: Limits) -> Ranks:
    place = place_of(wanted, conditions)
    figures = table.figures
    code = wanted.word("basing")
    same = table.basings.ranks(lambda word: int(bool(code) and word == code)).astype(bool)
    main = _connected(place, figures["heater_v"], figures["heater_a"], table, limits)
    other = _connected(place, figures["alt_heater_v"], figures["alt_heater_a"], table, limits)
    if place.wired.other:
        np.maximum(main, REWIRE, out=main)
        np.maximum(other, np.where(same, FITS, REWIRE).astype(np.int8), out=other)
    else:
        np.maximum(other, REWIRE, out=other)
    less = np.isnan(figures["heater_a"]) & ~np.isnan(figures["alt_heater_a"])
    single = np.isnan(figures["alt_heater_v"]) | np.isnan(figures["heater_v"]) | less
    ranks = np.where(single, main, np.minimum(main, other))
    return np.where(table.cold, _cold_rank(wanted, place), ranks).astype(np.int8)


def _cold_rank(wanted: TypeFigures, place: Place) -> int:
    """A candidate without heater: see ``judge_heater``."""
    if not place.conditions.series or wanted.cold:
        return FITS
    return UNKNOWN if place.volts is None or place.amperes is None else REWIRE


def _connected(place: Place, volts: Floats, amperes: Floats, table: TypeTable, limits: Limits) -> Ranks:
    return np.maximum(_volts(place, volts, table.tolerance), _amperes(place, amperes, limits))


def _volts(place: Place, volts: Floats, tolerance: Floats) -> Ranks:
    share, supply = place.volts, place.conditions.supply_v
    if share is None:
        return np.full(len(volts), UNKNOWN, dtype=np.int8)
    if place.conditions.series and supply is not None:
        off = 100 * (supply / (supply - share + volts) - 1)
    else:
        off = 100 * (share / volts - 1)
    low, high, care_low, care_high, unknown = tolerance
    borne = (-care_low - SLACK <= off) & (off <= care_high + SLACK)
    return _ranked(
        [
            ((-low - SLACK <= off) & (off <= high + SLACK), FITS),
            (borne & (unknown > 0), UNKNOWN),
            (borne, CARE),
            (off > 0, REWIRE),
        ],
        UNSUITABLE,
        ~np.isnan(off),
    )


def _amperes(place: Place, amperes: Floats, limits: Limits) -> Ranks:
    conditions, needed = place.conditions, place.amperes
    known = ~np.isnan(amperes)
    if not conditions.series and conditions.budget_a is not None:
        return _ranked([(amperes <= conditions.budget_a * (1 + SLACK), FITS)], UNSUITABLE, known)
    if needed is None:
        return np.full(len(amperes), UNKNOWN, dtype=np.int8)
    off = 100 * (amperes / needed - 1)
    if conditions.series:
        near = np.abs(off) <= limits["judge.series_current_pct"] + SLACK
        return _ranked([(near, FITS), (off < 0, REWIRE)], UNSUITABLE, known)
    fits = off <= limits["judge.heater_more_pct"] + SLACK
    care = off <= limits["judge.heater_more_care_pct"] + SLACK
    return _ranked([(fits, FITS), (care, CARE)], UNSUITABLE, known)


def _by_figures(wanted: TypeFigures, conditions: Conditions, table: TypeTable, limits: Limits) -> list[Ranks]:
    figures = table.figures
    found = [
        _at_least(figures[c.figure], need_of(c, wanted, conditions), *over_pcts(c, wanted, conditions, limits))
        for c in ceilings_for(wanted, conditions)
    ]
    found += [_in_band(band, wanted, figures[band.figure], limits) for band in bands_for(wanted)]
    found += [_capacitance(what, wanted, table, limits) for what in capacitances_for(wanted, conditions)]
    if wanted.form.kind in REGULATORS:
        found += _regulators(wanted, table, limits)
    return found


def _at_least(have: Floats, need: float | None, fits_pct: float, over_pct: float) -> Ranks:
    need = float("nan") if need is None else need
    known = ~np.isnan(have) & (need == need)
    fits, care = (need <= have * (1 + pct / 100) * (1 + SLACK) for pct in (fits_pct, over_pct))
    return _ranked([(fits, FITS), (care, CARE)], UNSUITABLE, known)


def _inside(ratio: Floats, inner: tuple[float, float], outer: tuple[float, float]) -> Ranks:
    (low, high), (care_low, care_high) = inner, outer
    fits = (low * (1 - SLACK) <= ratio) & (ratio <= high * (1 + SLACK))
    care = (care_low * (1 - SLACK) <= ratio) & (ratio <= care_high * (1 + SLACK))
    return _ranked([(fits, FITS), (care, CARE)], UNSUITABLE, ~np.isnan(ratio))


def _in_band(band: Band, wanted: TypeFigures, have: Floats, limits: Limits) -> Ranks:
    return _inside(have / _number(wanted, band.figure), *band_edges(band, limits))


def _capacitance(what: Capacitance, wanted: TypeFigures, table: TypeTable, limits: Limits) -> Ranks:
    have, need = table.figures[what.figure], _number(wanted, what.figure)
    off = np.abs(have - need)
    alike = (off <= limits[what.floor]) | (100 * off <= limits["judge.capacitance_pct"] * need)
    cases = [(alike, FITS)]
    if what is CGP:
        beyond = np.maximum(have, need) > limits["judge.cgp_rewire_ratio"] * np.minimum(have, need)
        cases.append((beyond, REWIRE))
    ranks = _ranked(cases, CARE, ~np.isnan(off))
    taken = table.taken[what.figure] | _is_taken(wanted, what.figure)
    return np.where(taken & (ranks == FITS), CARE, ranks).astype(np.int8)


def _is_taken(figures: TypeFigures, name: str) -> bool:
    found = figures.numbers.get(name)
    return found is not None and found.taken


def _regulators(wanted: TypeFigures, table: TypeTable, limits: Limits) -> list[Ranks]:
    ratio = table.figures["regulation_v"] / _number(wanted, "regulation_v")
    fits, care = limits["judge.regulation_pct"] / 100, limits["judge.regulation_care_pct"] / 100
    current, start = table.figures["regulation_ma"], table.figures["start_v"]
    need_ma, need_start = _number(wanted, "regulation_ma"), _number(wanted, "start_v")
    voltage = _inside(ratio, (1 - fits, 1 + fits), (1 - care, 1 + care))
    covers = [
        _ranked([(current >= need_ma, FITS)], CARE, ~np.isnan(current) & (need_ma == need_ma)),
        _ranked([(start <= need_start, FITS)], CARE, ~np.isnan(start) & (need_start == need_start)),
    ]
    return [voltage, *covers]  # where the voltage is not known the plain judge stops there: no cover ranks higher
