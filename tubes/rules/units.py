"""The one unit registry of the house, with the trade's own units.

kc and Mc are cycles per second as old dials print them; mmf, mmfd are picofarad and mfd microfarad as U.S. drawings
write them; a jar is 1111.1 pF (Admiralty use until about 1937, Admiralty Handbook 1938 as quoted at sizes.com).
Quantities are parsed once, at the edge, and stored as plain numbers in a unit named by the field.
"""

import re
from functools import cache
from typing import Any


class UnitFault(ValueError):
    """A text that is no quantity of the wanted kind; the message says what was found and what is expected."""


@cache
def registry() -> Any:
    """The only registry (loaded and made on first use: it takes about a fifth of a second)."""
    import pint

    reg: Any = pint.UnitRegistry(cache_folder=None)
    for line in (
        "kilocycle = kilohertz = kc",
        "megacycle = megahertz = Mc",
        "micromicrofarad = picofarad = mmf = mmfd = uuF",
        "trade_microfarad = microfarad = mfd",
        "micro_mho = microsiemens = micromho = umho",
        "jar = microfarad / 900",
    ):
        reg.define(line)
    return reg


# One figure and one unit, nothing to be worked out: pint would take "2**3 kc" or "3 600 kc" for a sum.
_QUANTITY = re.compile(
    r"(?P<figure>[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\W\d_]+(?:/[^\W\d_]+)?)"
)
_COMMA = re.compile(r"(?P<whole>[+-]?\d*),(?P<part>\d+)(?P<rest>(?:[^\d,.].*)?)")
_SPELLINGS = {"KC": "kc", "MC": "Mc", "kc/s": "kc", "Mc/s": "Mc", "Kc/s": "kc", "c/s": "Hz", "cps": "Hz"}
_SPELLINGS |= dict.fromkeys(("Megohm", "Mohms", "MOHM", "MOHMS"), "Mohm")
#: Units that parts bear in whatever letters, in small ones with u for micro. Left out are those in which a small m and
#: a capital M are two units of use: milliohm and megohm, milliwatt and megawatt.
_IN_ANY_LETTERS = {
    "pF": "pf pfd pfds mmf mmfd mmfds uuf uufd micromicrofarad micromicrofarads picofarads",
    "nF": "nf nfd nanofarads",
    "uF": "uf ufd ufds mfd mfds microfarads",
    "uH": "uh microhenry microhenries microhenrys",
    "mH": "mh millihenry millihenries millihenrys",
    "H": "h hy henry henries henrys",
    "ohm": "ohm ohms",
    "kohm": "kohm kohms kilohm kilohms kiloohm kiloohms",
    "Mohm": "megohm megohms megaohm megaohms",
    "V": "v volt volts wv vdc wvdc vdcw dcwv",
    "kV": "kv kilovolt kilovolts",
    "W": "w watt watts",
    "A": "a amp amps ampere amperes",
    "mA": "ma milliampere milliamperes",
}
_ANY_LETTERS = {word: unit for unit, words in _IN_ANY_LETTERS.items() for word in words.split()}
_MICRO = str.maketrans("µμ", "uu")
_FREQUENCIES = frozenset(
    "kc Mc Hz kHz MHz GHz hertz kilohertz megahertz kilocycle kilocycles megacycle megacycles".split()
)


def parse_quantity(text: str, unit: str) -> float:
    """The number that ``text`` states, in ``unit``.

    Raises UnitFault when there is no unit, the unit is of another kind, or the text is anything but one figure and
    one unit. ``mf`` and ``MF`` are refused: a drawing means microfarad by them, a modern reader millifarad.
    """
    wanted = f"a figure with its unit, such as 3.6 {unit}"
    figure, found = _split(text, wanted)
    try:
        value = float(registry().Quantity(figure, found).to(unit).magnitude)
    except Exception as fault:  # pint raises a dozen kinds for odd units; all mean the same here
        raise UnitFault(f"{text!r} cannot be read in {unit}; expected {wanted}") from fault
    if value != value or value in (float("inf"), float("-inf")):
        raise UnitFault(f"{text!r} is no finite figure; expected {wanted}")
    return value


def with_point(text: str) -> str:
    """A decimal comma in one figure as a point: ``0,4 ohm`` is ``0.4 ohm``.

    With three digits behind it the comma may part thousands (``1,500``): that is left as it stands, but for ``0,400``.
    """
    match = _COMMA.fullmatch(text.strip())
    if match is None or (len(match["part"]) == 3 and match["whole"].lstrip("+-") not in ("", "0")):
        return text
    return f"{match['whole']}.{match['part']}{match['rest']}"


def _split(text: str, wanted: str) -> tuple[float, str]:
    match = _QUANTITY.fullmatch(text.strip())
    if not match:
        comma = "; write the decimal point as a point" if "," in text else ""
        raise UnitFault(f"{text!r} cannot be read; expected {wanted}{comma}")
    unit = _spelled(match["unit"])
    if re.fullmatch(r".+[kM]c", unit):  # pint would take another prefix before a dial's own unit
        raise UnitFault(f"{text!r} cannot be read; expected {wanted}")
    if unit.lower() == "mf":
        raise UnitFault(f"{text!r} can mean microfarad or millifarad; write mfd or uF")
    return float(match["figure"]), unit


def _spelled(unit: str) -> str:
    """A unit as the registry has it."""
    if found := _SPELLINGS.get(unit):
        return found
    folded = unit.translate(_MICRO).lower()
    return _ANY_LETTERS.get(folded, unit)


def parse_frequency_kc(text: str) -> float:
    """A frequency such as ``3.6 Mc``, ``3600 kc`` or ``3.6 MHz``, in kc. Raises UnitFault."""
    wanted = "a frequency such as 3.6 Mc or 3600 kc"
    _, unit = _split(text, wanted)
    if unit not in _FREQUENCIES:
        raise UnitFault(f"{text!r} is in {unit}; expected {wanted}")
    value = parse_quantity(text, "kc")
    if value <= 0:
        raise UnitFault(f"{text!r} is no frequency; expected a positive figure such as 3.6 Mc or 3600 kc")
    return value


#: Metres times megacycles. Old dials go by the round figure.
LIGHT, ON_OLD_DIALS = 299.792458, 300.0


def wave(kc_or_m: float, *, product: float = LIGHT) -> float:
    """The wavelength in metres of a frequency in kc, and the frequency in kc of a wavelength in metres.

    ``product``: metres times megacycles, LIGHT (the metre of the SI) or ON_OLD_DIALS.
    """
    return product * 1000 / kc_or_m


def show_frequency(kc: float | None) -> str:
    """A frequency as a dial shows it, to the cycle: kc below 1 Mc, Mc from there on."""
    if kc is None:
        return ""
    cycles = round(kc * 1000)
    figure, unit = (cycles / 1_000_000, "Mc") if cycles >= 1_000_000 else (cycles / 1000, "kc")
    return f"{figure:.6f}".rstrip("0").rstrip(".") + f" {unit}"
