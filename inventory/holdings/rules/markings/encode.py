"""A reading written as the mark that bears it, and a value in the codes that can say it, for labels."""

import math
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Form, MarkingFault, Reading, plain
from inventory.holdings.rules.markings.bands import BANDS, BED
from inventory.holdings.rules.markings.crystals import WAVES
from inventory.holdings.rules.markings.designations import DESIGNATION
from inventory.holdings.rules.markings.dots_old import DOTS, FIVE_DOTS, RMA
from inventory.holdings.rules.markings.tables import MarkingTables
from tubes.rules.units import wave

_SCALE = {"R": 0, "E": 0, "K": 3, "M": 6, "G": 9, "T": 12}
_SCALE_PF = {"p": 0, "R": 0, "n": 3, "u": 6, "m": 9}


def encode(reading: Reading, tables: MarkingTables) -> str:
    """The mark of a reading. Raises MarkingFault where its value cannot be written in that code."""
    form = reading.form
    if form.code == "FT-241":
        return _ft241(float(reading.value or 0), form.figures)
    if form.code == "m":
        return f"{round(wave(float(reading.value or 0), product=WAVES[form.figures][0]), 6):g} m"
    if reading.unit == "kc":
        return f"{plain(reading.value)} kc" if form.code == "kc" else f"{form.code} {plain(reading.value)}"
    if form.code in ("AWG", "SWG"):
        return f"{form.code} {_gauge(form.code, float(reading.value or 0), tables)}"
    if reading.value is None:
        return form.style
    value = Decimal(reading.value)
    if form.code in (BANDS, BED, DOTS):
        return " ".join(_colours(value, form, tables))
    if form.code == DESIGNATION:
        return f"{form.style}{form.characteristic}{_designated(value, form)}{form.tolerance}{form.failure_rate}"
    return _value_code(value, reading.unit, form)


def figured(value: Decimal, figures: int) -> tuple[str, int]:
    """A value as so many figures and a power of ten, exactly. Raises MarkingFault where it has more figures."""
    if not value.is_finite() or value <= 0:
        raise MarkingFault(f"{value} is no value of a part; expected more than 0")
    power = value.adjusted() - figures + 1
    shown = value.scaleb(-power)
    if shown != shown.to_integral_value():
        raise MarkingFault(f"{value} has more than {figures} figures")
    return str(int(shown)), power


def _colours(value: Decimal, form: Form, tables: MarkingTables) -> list[str]:
    if form.code == BED and value < 10 and value == int(value):
        said, power = f"0{int(value)}", 0
    else:
        said, power = figured(value, form.figures)
    figures = [tables.back("figure", one) for one in said]
    multiplier = tables.back("multiplier", f"{Decimal(1).scaleb(power):f}")
    if not multiplier or (form.code == BED and power < 0):
        raise MarkingFault(f"{value} needs a multiplier that no colour stands for")
    if form.style == RMA and form.places == 5:
        return _five(figures, multiplier, form)
    if form.style == RMA:
        return [*figures, *((form.characteristic, form.tolerance) if form.places == 6 else ()), multiplier]
    if form.code == DOTS:
        return [form.style, *figures, form.characteristic or "none", form.tolerance or "none", multiplier]
    last = [one for one in (form.tolerance, form.temperature, form.failure_rate) if one]
    return [*figures, multiplier, *last]


def _five(figures: list[str], multiplier: str, form: Form) -> list[str]:
    """Five dots in the order of the code that they are of, which its letters name."""
    beside = {"m": multiplier, "v": form.characteristic}
    names = next(places for places in FIVE_DOTS if "".join(name[0] for name in places) == form.letter)
    left = iter(figures)
    return [
        next(left) if name.endswith("figure") else form.tolerance if name == "tolerance" else beside[name[0]]
        for name in names
    ]


def _designated(value: Decimal, form: Form) -> str:
    if form.letter:
        return _pointed(value, "R", form.places, form.figures + 1)
    said, power = figured(value, form.figures)
    if form.style and power < 0 and value == int(value):
        return f"{int(value):0{form.figures}d}0"  # 050 for 5 pF
    if not 0 <= power <= 9:
        raise MarkingFault(f"{value} cannot be written as {form.figures} figures and a number of zeros")
    return f"{said}{power}"


def _value_code(value: Decimal, unit: str, form: Form) -> str:
    scale = _SCALE_PF if unit == "pF" else _SCALE
    letter = form.letter if unit == "pF" and form.letter in scale else form.letter.upper()
    match form.code:
        case "point":
            key = letter if letter in scale else letter.lower()
            return _pointed(value.scaleb(-scale[key]), form.letter, form.places, form.figures + 1) + form.tolerance
        case "figures":
            if unit == "pF" and value < 10:
                said, power = figured(value, 2)
                return f"{said}{ {-2: 8, -1: 9}[power] }{form.tolerance}"
            return _designated(value, Form("", form.figures)) + form.tolerance
        case "full":
            return f"{plain(value)}"
        case "decimal":
            key = letter if letter in scale else letter.lower()
            return f"{value.scaleb(-scale[key]):.{form.places}f}{form.letter}"
        case "mfd":
            return f"{value.scaleb(-6):.{form.places}f}".lstrip("0") + form.tolerance
        case _:
            return f"{plain(value)} {unit}"


def _pointed(value: Decimal, letter: str, places: int, length: int) -> str:
    """A value with a letter for its point: as many places behind it, and characters altogether, as are asked for."""
    if value != round(value, places):
        raise MarkingFault(f"{value} has more than {places} places")
    whole, _, part = f"{value:.{places}f}".partition(".")
    text = f"{whole}{letter}{part}"
    return text.lstrip("0") if whole == "0" and len(text) > length else text


def _ft241(kc: float, digits: int) -> str:
    channel = kc * 54 / 100 - 200 if digits == 2 else kc * 72 / 100
    return f"FT-241 channel {round(channel):0{digits - (digits == 2)}d}"


def _gauge(gauge: str, mm: float, tables: MarkingTables) -> str:
    if gauge == "SWG":
        return next(
            number for (of, number), (inch, _) in tables.gauges.items()
            if of == "SWG" and math.isclose(float(inch) * 25.4, mm, rel_tol=1e-9)
        )  # fmt: skip
    at = 36 - 39 * math.log(mm / 0.127) / math.log(92)
    number = round(at)
    if abs(at - number) > 1e-6:
        raise MarkingFault(f"{mm} mm is no number of AWG")
    return str(number) if number > 0 else "0" * (1 - number)


def marks_for(
    value: Decimal, unit: str, tolerance_pct: Decimal | None, tables: MarkingTables
) -> tuple[tuple[str, str], ...]:
    """The codes that can say a value, each with its mark: (code in words, mark). Those that cannot are left out."""
    letter = _letter_for(tolerance_pct, tables)
    found: list[tuple[str, str]] = []

    def add(words: str, form: Form | None) -> None:
        if form is None or value <= 0:
            return
        try:
            found.append((words, encode(Reading("", value, unit, "", form), tables)))
        except MarkingFault:
            return

    if unit == "ohm":
        colour = _colour_for("tolerance", tolerance_pct, tables)
        if colour is not None:
            for figures in (2, 3):
                if figures == 2 or colour not in ("", "gold", "silver"):
                    add("bands", Form(BANDS, figures, tolerance=colour))
        bed = _colour_for("bed-tolerance", tolerance_pct, tables)
        if bed is not None:
            add("body, end, dot" + (", opposite end" if bed else ""), Form(BED, tolerance=bed))
    if unit in ("ohm", "pF") and letter is not None:
        add("letter code", _point_form(value, unit, letter))
    if unit in ("pF", "uH") and letter is not None and (unit != "uH" or value >= 10):
        add("figures and zeros", Form("figures", 2, tolerance=letter))
    return tuple(found)


def _point_form(value: Decimal, unit: str, tolerance: str) -> Form | None:
    scale = {"p": 0, "n": 3, "u": 6} if unit == "pF" else {"R": 0, "K": 3, "M": 6, "G": 9}
    letter = next(
        (key for key, power in reversed(scale.items()) if value >= Decimal(1).scaleb(power)), next(iter(scale))
    )
    shown = value.scaleb(-scale[letter]).normalize()
    places = max(0, -int(shown.as_tuple().exponent))
    whole = len(str(int(shown))) if shown >= 1 else 0
    if whole + places > 4:
        return None
    return Form("point", whole + places, places, letter=letter, tolerance=tolerance)


def _letter_for(per_cent: Decimal | None, tables: MarkingTables) -> str | None:
    """The tolerance letter; empty where none is asked for, None where no letter says it."""
    if per_cent is None:
        return ""
    return next(
        (
            letter
            for (use, letter), told in tables.letters.items()
            if use == "tolerance" and told[0].per_cent == per_cent
        ),
        None,
    )


def _colour_for(use: str, per_cent: Decimal | None, tables: MarkingTables) -> str | None:
    """The colour of a tolerance; empty for no band, None where no colour says it."""
    if per_cent is None:
        return ""
    found = tables.back(use, f"{plain(per_cent)}")
    return None if not found else "" if found == "none" else found
