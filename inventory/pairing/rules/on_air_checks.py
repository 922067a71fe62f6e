"""What the meters of a transmitter should say on the air: aerial current, power, filament current.

Currents and voltages are rms, loads resistive at the point of the meter; on a line with standing waves the current
depends on where it is read, and a short aerial of 5 to 10 ohm takes several times the current of a 50-ohm load for the
same power: no power is judged by an ammeter without the load. Every function raises ValueError naming the figure that
makes no sense.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

SQUARE_LAW, LINEAR = "square-law", "linear"
LEAST_FRACTION = {
    SQUARE_LAW: 1 / 3,
    LINEAR: 1 / 5,
}  # of full scale, 47 CFR 73.1215: it is 3 or 5 times the least
METER_ACCURACY = 0.02  # of full scale, 47 CFR 73.1215
FILAMENT_TOLERANCE = 0.05  # of the total: scatter of filaments and meter; common practice, no source


def _positive(**figures: float) -> None:
    for name, value in figures.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} is {value:g}; expected a figure above 0")


def _not_negative(**figures: float) -> None:
    for name, value in figures.items():
        if not (math.isfinite(value) and value >= 0):
            raise ValueError(f"{name} is {value:g}; expected a figure of 0 or more")


# --- power, current, load ---------------------------------------------------------------------------------------------


def current_a(power: float, load: float) -> float:
    """I = sqrt(P/R), A from W and ohm."""
    _not_negative(power=power)
    _positive(load=load)
    return math.sqrt(power / load)


def power_w(current: float, load: float) -> float:
    """P = I^2 R, W from A and ohm."""
    _not_negative(current=current)
    _positive(load=load)
    return current**2 * load


def peak_v(power: float, load: float) -> float:
    """Peak voltage across ``load`` ohm at ``power`` W: sqrt(2 P R)."""
    _not_negative(power=power)
    _positive(load=load)
    return math.sqrt(2 * power * load)


def power_db(power: float, reference: float) -> float:
    """10 lg of two powers in one unit; dBm with the reference 0.001 W."""
    _positive(power=power, reference=reference)
    return 10 * math.log10(power / reference)


def amplitude_db(value: float, reference: float) -> float:
    """20 lg of two voltages or currents in the same impedance."""
    _positive(value=value, reference=reference)
    return 20 * math.log10(value / reference)


@dataclass(frozen=True, slots=True)
class Dissipation:
    """What the plates must get rid of, W, and output over DC input."""

    plate_w: float
    efficiency: float


def dissipation(plate_v: float, plate_a: float, output_w: float, drive_w: float = 0.0) -> Dissipation:
    """DC input - output, plus drive for a grounded grid. More output than input is refused: one meter is wrong."""
    _positive(plate_v=plate_v, plate_a=plate_a)
    _not_negative(output_w=output_w, drive_w=drive_w)
    direct = plate_v * plate_a
    if output_w > direct + drive_w:
        raise ValueError(f"output_w is {output_w:g}, more than the {direct + drive_w:g} W that go in")
    return Dissipation(direct + drive_w - output_w, output_w / direct)


# --- amplitude modulation by a sine; speech rises less, and peaks must be read from peaks -----------------------------


def _index(m: float) -> float:
    if not 0 <= m <= 1:
        raise ValueError(f"m is {m:g}; expected a modulation index from 0 to 1")
    return m


def am_current_ratio(m: float) -> float:
    """Modulated over carrier current: sqrt(1 + m^2/2)."""
    return math.sqrt(1 + _index(m) ** 2 / 2)


def am_power_w(carrier: float, m: float) -> float:
    """Mean power, W: Pc (1 + m^2/2)."""
    _not_negative(carrier=carrier)
    return carrier * (1 + _index(m) ** 2 / 2)


def pep_w(carrier: float, m: float) -> float:
    """Peak envelope power, W: Pc (1 + m)^2."""
    _not_negative(carrier=carrier)
    return carrier * (1 + _index(m)) ** 2


def modulation_index(carrier: float, modulated: float) -> float:
    """m = sqrt(2 ((I/Ic)^2 - 1)) from rms currents, A. Not (I - Ic)/Ic: that holds for peaks of the envelope only."""
    _positive(carrier=carrier, modulated=modulated)
    if modulated < carrier:
        raise ValueError(f"modulated is {modulated:g}, below the carrier {carrier:g}: carrier shift or a wrong meter")
    m = math.sqrt(2 * ((modulated / carrier) ** 2 - 1))
    if m > 1 + 1e-9:
        raise ValueError(f"modulated is {modulated:g}, more than a fully modulating sine gives ({1.5**0.5:.4f} times)")
    return min(m, 1.0)


# --- thermocouple ammeter ---------------------------------------------------------------------------------------------


def deflection(current: float, full_scale: float) -> float:
    """Of a thermocouple meter, as a part of the full deflection: (I/Ifs)^2."""
    _not_negative(current=current)
    _positive(full_scale=full_scale)
    return (current / full_scale) ** 2


def readable(current: float, full_scale: float, law: str = SQUARE_LAW) -> bool:
    """Whether a current lies in the usable part of a scale: from one third (linear: one fifth) to full scale."""
    _not_negative(current=current)
    _positive(full_scale=full_scale)
    if law not in LEAST_FRACTION:
        raise ValueError(f"law {law!r} is not known; expected one of {', '.join(LEAST_FRACTION)}")
    return LEAST_FRACTION[law] - 1e-9 <= current / full_scale <= 1 + 1e-9


@dataclass(frozen=True, slots=True)
class ReadingError:
    """Error of a meter at a reading as fractions: of the current, and of the power above and below."""

    current: float
    power_up: float
    power_down: float


def reading_error(current: float, full_scale: float, accuracy: float = METER_ACCURACY) -> ReadingError:
    """What ``accuracy`` (of full scale) means at a reading: r of the current, (1 +- r)^2 - 1 of the power."""
    _positive(current=current, full_scale=full_scale, accuracy=accuracy)
    part = accuracy * full_scale / current
    return ReadingError(part, (1 + part) ** 2 - 1, (1 - min(part, 1.0)) ** 2 - 1)


@dataclass(frozen=True, slots=True)
class Compared:
    """A measured figure beside the expected one; ``agrees`` None: the meter cannot tell."""

    expected: float
    measured: float
    agrees: bool | None
    text: str


def check_current(
    power: float, load: float, measured: float, full_scale: float | None = None, tolerance: float = 0.05
) -> Compared:
    """Aerial current against sqrt(P/R). ``tolerance``: of the current, for power and load; the meter's own is added."""
    expected = current_a(power, load)
    _positive(power=power)
    _not_negative(measured=measured, tolerance=tolerance)
    text = f"{measured:.3g} A read, {expected:.3g} A expected for {power:.4g} W in {load:.4g} ohm"
    if full_scale is None:
        return Compared(expected, measured, abs(measured - expected) <= tolerance * expected, text + ".")
    if measured > full_scale * (1 + 1e-9):
        raise ValueError(f"measured is {measured:g}, more than the full scale of {full_scale:g}")
    if not readable(measured, full_scale):
        limit = full_scale / 3
        return Compared(expected, measured, None, f"{text}; a {full_scale:g} A scale is not read below {limit:.3g} A.")
    room = tolerance * expected + METER_ACCURACY * full_scale
    return Compared(expected, measured, abs(measured - expected) <= room, text + ".")


def check_power(measured: float, rated: float, tolerance_db: float = 1.0) -> Compared:
    """Output against the rated figure of the set model, W. Within 1 dB is in order: common practice, no source."""
    apart = power_db(measured, rated)
    text = f"{measured:.4g} W, {apart:+.1f} dB from the rated {rated:.4g} W."
    return Compared(rated, measured, abs(apart) <= tolerance_db, text)


# --- filament current -------------------------------------------------------------------------------------------------

AS_EXPECTED, FAULT_NAMED, NOT_CLEAR, NOT_KNOWN = "as expected", "fault named", "not clear", "not known"


@dataclass(frozen=True, slots=True)
class Heater:
    """A position: its mark, the current of the fitted tube's heater (None: not known) and its branch.

    Heaters of one branch are in series, branches are in parallel on the supply. ``could_be``: heater currents of other
    types that go into the socket, by type, where somebody may have fitted the wrong one.
    """

    mark: str
    heater_a: float | None
    branch: str
    could_be: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class FilamentAnswer:
    """What the filaments should draw and what the difference points to.

    ``likely``: the one position that explains it, None when none or several do; ``suspects``: all that explain it
    equally well, best first; ``unseen``: positions whose dead filament the meter would not show.
    """

    verdict: str
    expected_a: float | None
    measured_a: float
    difference_a: float | None
    likely: str | None
    suspects: tuple[str, ...]
    unseen: tuple[str, ...]
    text: str


def check_filament_current(
    heaters: Sequence[Heater], measured: float, tolerance: float = FILAMENT_TOLERANCE
) -> FilamentAnswer:
    """Name the single fault (a filament open, a wrong type) that best explains the measured total, A.

    Faults that explain it to within ``tolerance`` of the expected total are equally good: all are named, none chosen.
    A series branch draws nothing when any of its filaments is open, so all of its positions are named. Supply voltage
    is taken as right. Raises ValueError for no position, a mark given twice, or a figure that makes no sense.
    """
    _not_negative(measured=measured)
    _positive(tolerance=tolerance)
    branches = _branches(heaters)
    unknown = [mark for members in branches.values() if _draws(members) is None for mark in _marks(members)]
    if unknown:
        known = math.fsum(_draws(members) or 0.0 for members in branches.values())
        text = f"Heater current not known at {', '.join(unknown)}: {measured - known:.3g} A would be left for it."
        return FilamentAnswer(NOT_KNOWN, None, measured, None, None, (), (), text)
    draws = {name: _draws(members) or 0.0 for name, members in branches.items()}
    expected = math.fsum(draws.values())
    room, difference = tolerance * expected, measured - expected
    unseen = tuple(mark for name, members in branches.items() if draws[name] <= room for mark in _marks(members))
    head = f"{measured:.3g} A read, {expected:.3g} A expected.{_shunted(branches)}"
    if abs(difference) <= room + 1e-9 * expected:
        tail = f" A dead filament at {', '.join(unseen)} would not show." if unseen else ""
        return FilamentAnswer(AS_EXPECTED, expected, measured, difference, None, (), unseen, head + tail)
    causes = _causes(branches, draws, difference, room + 1e-9 * expected)
    suspects = tuple(dict.fromkeys(mark for _, marks, _ in causes for mark in marks))
    likely = suspects[0] if len(suspects) == 1 else None
    told = "; or ".join(text for _, _, text in causes)
    told = told or "no single dead filament or known wrong type explains it: check supply voltage, meter, more than one"
    verdict = FAULT_NAMED if likely else NOT_CLEAR
    text = f"{head} {told[0].upper()}{told[1:]}."
    return FilamentAnswer(verdict, expected, measured, difference, likely, suspects, unseen, text)


def _branches(heaters: Sequence[Heater]) -> dict[str, list[Heater]]:
    branches: dict[str, list[Heater]] = {}
    for heater in heaters:
        figures = [heater.heater_a] if heater.heater_a is not None else []
        for value in [*figures, *(amps for _, amps in heater.could_be)]:
            _positive(**{f"heater current at {heater.mark}": value})
        branches.setdefault(heater.branch, []).append(heater)
    marks = [heater.mark for heater in heaters]
    if not marks:
        raise ValueError("no position is given; expected at least one")
    if twice := sorted({mark for mark in marks if marks.count(mark) > 1}):
        raise ValueError(f"position {twice[0]} is given twice")
    return branches


def _marks(members: Sequence[Heater]) -> list[str]:
    return [heater.mark for heater in members]


def _draws(members: Sequence[Heater]) -> float | None:
    """Current of a series branch: its largest heater, the smaller ones being shunted. None when any is not known."""
    known = [heater.heater_a for heater in members if heater.heater_a is not None]
    return max(known) if len(known) == len(members) else None


def _shunted(branches: dict[str, list[Heater]]) -> str:
    uneven = [m for m in branches.values() if len({heater.heater_a for heater in m}) > 1]
    marks = ", ".join(mark for members in uneven for mark in _marks(members))
    return f" Unequal heaters in series ({marks}): the smaller are taken as shunted." if marks else ""


def _causes(
    branches: dict[str, list[Heater]], draws: dict[str, float], difference: float, room: float
) -> list[tuple[float, list[str], str]]:
    """Single faults that explain the difference to within ``room``, best first: (what is left over, marks, words)."""
    causes = []
    for name, members in branches.items():
        marks = _marks(members)
        words = f"filament dead at {' or '.join(marks)} (branch of {draws[name]:.3g} A open)"
        causes.append((abs(difference + draws[name]), marks, words))
        if len(members) == 1:  # in series the current would depend on the resistances of both
            for kind, amps in members[0].could_be:
                words = f"a {kind} at {marks[0]} ({amps:.3g} A for {draws[name]:.3g} A)"
                causes.append((abs(difference + draws[name] - amps), marks, words))
    return sorted((cause for cause in causes if cause[0] <= room), key=lambda cause: (round(cause[0], 9), cause[1]))
