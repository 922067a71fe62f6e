"""Values as parts bear them and drawings write them, as one figure with a unit of the registry.

``270 K``, ``2.2 meg``, ``1/2 meg``, ``10,000 ohms``, ``4K7``, ``2u2``, ``.01 MFD``. M alone is read by nobody here: a
thousand on old drawings, a million on new ones. R, K, M, p, n and u for the point: IEC 60062. The rest is common
practice, no source.
"""

import re

from inventory.holdings.rules.part_sections import is_fraction
from tubes.rules.units import UnitFault, with_point

#: A figure as it stands on parts: a fraction, thousands parted by commas, a decimal one.
FIGURE = r"\d+/\d+|\d{1,3}(?:,\d{3})+(?![\d.])|\d+(?:[.,]\d+)?|[.,]\d+"
#: A letter for the point of a value, between figures.
POINTED = r"\d+[RKkMGpnuµμ]\d+"
_VALUE = re.compile(rf"(?P<figure>[+-]?(?:{FIGURE}|\d+\.))\s*(?P<unit>[^\d+-]*)", re.ASCII)
_POINTED = re.compile(r"(\d+)([RKkMGpnuµμ])(\d+)", re.ASCII)
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+")
#: What is short for a unit on parts, by its letters in small; behind it ``ohms`` may stand.
_SHORT = {"k": "kohm", "meg": "Mohm", "megs": "Mohm", "r": "ohm", "Ω": "ohm", "ω": "ohm"}
_LETTERS = {"R": "ohm", "K": "kohm", "M": "Mohm", "G": "Gohm", "p": "pF", "n": "nF", "u": "uF"}
#: A point with three figures behind it of which two are noughts: nobody prints those of a decimal figure.
_THOUSANDS_BY_POINT = re.compile(r"[1-9]\d{0,2}\.\d00")
_OHMS = re.compile(r"\s*ohms?\.?", re.IGNORECASE)
#: Units of which nobody prints thousandths behind a whole number: a comma with three figures parts thousands.
_WHOLE = frozenset("ohm ohms r Ω ω pf pfd mmf mmfd mmfds uuf uufd".split())
_MICRO = str.maketrans("µμ", "uu")


def in_full(text: str) -> str:
    """A value with what is short on parts written out, as ``parse_quantity`` takes it: ``270 kohm`` for ``270 K``.

    A text that is no value comes back as it is. Raises UnitFault for M alone and 40/40, which can mean two things, and
    for 1/0.
    """
    text = " ".join(text.split())
    if match := _POINTED.fullmatch(text):
        whole, letter, part = match.groups()
        return f"{whole}.{part} {_LETTERS[letter.upper() if letter == 'k' else letter.translate(_MICRO)]}"
    if not (match := _VALUE.fullmatch(text)):
        return text
    figure, unit = match["figure"], match["unit"].rstrip(".")
    if unit == "M":
        raise UnitFault(f"{text!r} can mean thousands, as on old drawings, or millions; write K or Meg")
    unit = unit_in_full(unit)
    if _THOUSANDS.fullmatch(figure):
        if unit.translate(_MICRO).lower() in _WHOLE:
            figure = figure.replace(",", "")
    elif "/" in figure:
        figure = _decimal(figure, unit)
    elif _THOUSANDS_BY_POINT.fullmatch(figure) and unit.translate(_MICRO).lower() in _WHOLE:
        raise UnitFault(f"{text!r} can mean {figure.replace('.', '')} or {float(figure):g} {unit}: write that one")
    else:
        figure = with_point(figure)
    return f"{figure} {unit}".rstrip()


def unit_in_full(unit: str) -> str:
    """A unit of a part as the registry has it: ``K``, ``Meg`` and ``K ohms`` for kohm and Mohm; others as they are."""
    alone = _OHMS.sub("", unit) if not _OHMS.fullmatch(unit) else unit
    if alone == "M" and alone != unit:
        return "Mohm"
    return _SHORT.get(alone.lower(), unit)


def _decimal(fraction: str, unit: str) -> str:
    """A fraction as a decimal: 1/2 is 0.5. Raises UnitFault for 1/0, and for 40/40, which are two values.

    3/2 W is one and a half: nothing that is rated in watts is rated twice.
    """
    above, _, below = fraction.partition("/")
    if not int(below):
        raise UnitFault(f"{fraction!r} is no figure")
    watts = unit.lower() in ("w", "watt", "watts") and int(below) in (2, 4) and int(above) % 2
    if not watts and not is_fraction(int(above), int(below)):
        raise UnitFault(f"{fraction!r} can mean two values, sections or a range, and is no fraction such as 1/2")
    return f"{int(above) / int(below):.12g}"
