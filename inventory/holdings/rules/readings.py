"""Test readings as written, each on its own scale: figures are kept digit for digit and never carried to another scale.

A tester's figure and its reject limit are written reading/minimum, and two testers do not compare: common practice, no
source, as are the ways of writing.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.holdings.rules.cells import (
    Remark,
    figures_text,
    kept_as_found,
    read_cell,
    says_ditto,
    says_nothing,
    says_unknown,
    shown,
)

VALUE, TESTER, PERCENT, TESTS_GOOD, WORD, UNREAD, UNKNOWN = (
    "value", "tester", "percent", "tests good", "word", "unread", "unknown",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class TestReading:
    """`value`, `minimum` and `out_of` are the figures as written. `unit` is as the cell or the heading has it.

    `scale` names the scale by which readings may be set side by side: a unit, a tester's own scale, or "" when it is
    not said; two readings with an empty scale share none. `told`: words say that the second figure is the minimum.
    `figure` and `minimum_figure` are the numbers, None if a
    decimal comma could as well be a thousands mark.
    """

    __test__ = False  # no test case, whatever its name says

    text: str
    kind: str
    value: str = ""
    minimum: str = ""
    out_of: str = ""
    unit: str = ""
    tester: str = ""
    scale: str = ""
    figure: Decimal | None = None
    minimum_figure: Decimal | None = None
    remark: Remark | None = None
    told: bool = False


_SCALES = {
    "ma/v": "mA/V", "ms": "mS", "micromho": "micromho", "micromhos": "micromho", "umho": "micromho",
    "umhos": "micromho",
    "µmho": "micromho", "μmho": "micromho", "μmhos": "micromho", "mmho": "mmho", "us": "uS", "µs": "uS", "μs": "uS",
    "ma": "mA", "v": "V", "w": "W", "%": "%", "mikromho": "micromho",
}  # fmt: skip
_UNITS = "|".join(sorted(map(re.escape, _SCALES), key=len, reverse=True))
_FIGURE = r"[0-9]{1,6}(?:[.,][0-9]{1,4})?"
_TWO = re.compile(rf"(?P<value>{_FIGURE})\s*(?P<unit1>{_UNITS})?\s*/\s*(?P<min>{_FIGURE})\s*(?P<unit2>{_UNITS})?")
_ONE = re.compile(rf"(?P<value>{_FIGURE})\s*(?P<unit>{_UNITS})?")
_LEAST = (
    r"(?:min(?:imum|imal|i)?|mind(?:estens|estwert)?|rej(?:ect)?(?: (?:at|below|limit|point|value))?|limit|grenzwert|"
    r"grenze|seuil|afkeur(?:grens)?|ondergrens|minimo|мин(?:имум)?)(?![^\W\d_])\.?\s*[:=]?"
)
#: What stands behind a reading and says in words that it is the minimum: `62 (min 40)`, `62, 40 min`.
_MINIMUM_SAID = re.compile(
    rf"(?<=[0-9a-zµμ%])(?:\s*[-/,;:(\[]\s*|\s+)(?:{_LEAST}\s*(?P<after>{_FIGURE})|(?P<before>{_FIGURE})"
    rf"\s*(?P<unit1>{_UNITS})?\s*{_LEAST})\s*(?P<unit2>{_UNITS})?\s*[)\]]?"
)
#: The minimum said first: `min 40: 62`.
_MINIMUM_FIRST = re.compile(rf"{_LEAST}\s*(?P<least>{_FIGURE})\s*[-,;:)]\s*(?P<value>{_FIGURE}\s*(?:{_UNITS})?)")
#: `40 min 62`: which of the two the word belongs to is told by the size alone.
_BETWEEN = re.compile(rf"{_FIGURE}\s+{_LEAST}\s*{_FIGURE}")
#: The stroke spoken: `52 over 32`.
_OVER = re.compile(rf"(?P<value>{_FIGURE}\s*(?:{_UNITS})?)\s+(?:over|sur|über|ueber|su|sobre|boven|na|nad)\s+(?=[0-9])")
_GOOD = re.compile(
    rf"(?P<value>{_FIGURE})\s*/\s*(?P<of>{_FIGURE})\s*(?P<words>(?:tests?|tested|meas(?:ures|ured)?|geprüft|"
    rf"getestet)?\s*(?:good|gut|bon|goed|ok|o\.k\.))"
)
_WORDED = re.compile(
    r"(?:tests?|tested|geprüft|getestet)?\s*(?:very |sehr |like )?(?:good|gut|new|strong|ok|o\.k\.|weak|low|"
    r"schwach|neu|fine|bon|goed|dud|taub|bad)\.?"
)
_TESTER = re.compile(
    rf"(?:(?:on|with|auf|"
    rf"tester)\s+)?(?P<tester>[^\W\d_][^/]{{0,40}}?)[\s:]+(?P<value>{_FIGURE})(?:\s*/\s*(?P<min>{_FIGURE}))?\s*(?P<unit>{_UNITS})?"
)
_WRITE = "write one figure, or reading/minimum, with its unit"
_WORD_OF_FIGURE = frozenset("gm s reading min minimum meter approx about ca circa gut good".split())
_VERDICTS = "bad|dud|dead|weak|low|schwach|taub|defekt|faible|mauvais|zwak|debole|słaba|slabá|слабая"
_VERDICT_AND_FIGURE = re.compile(rf"(?:{_VERDICTS})\s*[:=,]?\s*(?P<value>{_FIGURE})\s*(?P<unit>{_UNITS})?")
_NO_TESTER = frozenset(
    f"{_VERDICTS}|good|gut|new|used|nos|old|neu|alt|gebraucht|min|minimum|max|maximum|reject|limit|tests|tested|reads|"
    "geprüft|getestet|neuf|bon|nuova|usata|nowa|používaná|nová|новая".split("|")
)
_HEADED = re.compile(rf"(?<![^\W_])(?:{_UNITS})(?![^\W_])")


def unit_of_heading(heading: str) -> str:
    """The unit that a column's heading names, as a scale; "" if none or more than one."""
    found = {_SCALES[unit] for unit in _HEADED.findall(heading[:200].casefold())} if heading else set()
    return found.pop() if len(found) == 1 else ""


def without_units(text: str) -> str:
    """The text without the units in it, for what else a heading names."""
    small = text.casefold()
    if len(small) != len(text):
        return _HEADED.sub(" ", small)
    for found in _HEADED.finditer(small):
        text = text[: found.start()] + " " * (found.end() - found.start()) + text[found.end() :]
    return text


def read_reading(cell: str, heading: str = "", instrument: str = "") -> TestReading:
    """Read a test reading of any content; never raises.

    `heading` may name the unit of the whole column, `instrument` the tester where another column names it.
    """
    found = _read(cell, heading, instrument)
    return replace(found, tester=instrument) if instrument and not found.tester and found.kind != UNKNOWN else found


def _read(cell: str, heading: str, instrument: str) -> TestReading:
    seen = read_cell(cell)
    if seen.remark:
        return _unread(cell, seen.remark.reason, seen.remark.action)
    text = figures_text(seen.text)
    if text is None:
        return _unread(cell, "cannot be read as a reading")
    plain = text.casefold().strip("!").strip()
    if not plain or says_unknown(plain) or says_nothing(plain):
        return TestReading(cell, UNKNOWN)
    if says_ditto(plain):
        return _unread(cell, "refers to the row above, which may since have moved")
    if good := _GOOD.fullmatch(plain):
        remark = Remark(
            "a figure of a good/bad scale: it compares with no other scale", "name the tester if you know it"
        )
        figure = _number(good["value"])
        return TestReading(cell, TESTS_GOOD, good["value"], out_of=good["of"], figure=figure, remark=remark)
    if _WORDED.fullmatch(plain):
        return TestReading(cell, WORD, remark=kept_as_found("a word, no figure", "nothing, if it is so", ": "))
    said = plain
    plain, told = _with_stroke(plain)
    found = _figures(cell, plain, text, unit_of_heading(heading), instrument)
    if told == "minimum" and _BETWEEN.fullmatch(said) and (found.minimum_figure or 0) > (found.figure or 0):
        return _unread(cell, "which of the two is the minimum is not said")
    lower = found.figure is not None and found.minimum_figure is not None and found.minimum_figure < found.figure
    return replace(found, told=told == "minimum" or (told == "over" and lower))


def _with_stroke(plain: str) -> tuple[str, str]:
    """A reading with its minimum in words as reading/minimum, and which words say so; else as it stands."""
    if (said := _MINIMUM_SAID.search(plain)) and said.end() == len(plain):
        unit = said["unit1"] or said["unit2"] or ""
        return f"{plain[: said.start()]}/{said['after'] or said['before']}{unit}", "minimum"
    if first := _MINIMUM_FIRST.fullmatch(plain):
        return f"{first['value']}/{first['least']}", "minimum"
    over = _OVER.search(plain)
    return (f"{over['value']}/{plain[over.end() :]}", "over") if over and over.start() == 0 else (plain, "")


def _figures(cell: str, plain: str, text: str, headed: str, instrument: str) -> TestReading:
    unit = minimum = ""
    if found := _TWO.fullmatch(plain) or _ONE.fullmatch(plain):
        groups = found.groupdict()
        units = {_SCALES[u] for u in (groups.get("unit"), groups.get("unit1"), groups.get("unit2")) if u}
        minimum = groups.get("min") or ""
        if len(units) > 1 or (units and headed and units != {headed}):
            both = " and ".join(sorted(units | ({headed} if headed else set())))
            return _unread(cell, f"two scales in one reading: {both}")
        unit = units.pop() if units else headed
        return _made(cell, found["value"], minimum, unit, "", instrument)
    if beside := _VERDICT_AND_FIGURE.fullmatch(plain):
        unit = _SCALES[beside["unit"]] if beside["unit"] else headed
        return _made(cell, beside["value"], "", unit, "", instrument)
    if (found := _TESTER.fullmatch(plain)) and _may_be_a_tester(found["tester"]):
        as_it_stands = text[found.start("tester") : found.end("tester")]
        written = as_it_stands if as_it_stands.casefold() == found["tester"] else found["tester"]
        unit = _SCALES[found["unit"]] if found["unit"] else ""
        return _made(cell, found["value"], found["min"] or "", unit, written.strip(" :"), instrument)
    return _unread(cell, f"{shown(plain)} cannot be read as a reading")


def _may_be_a_tester(name: str) -> bool:
    """Whether what stands before a figure can be an instrument: no word of a verdict, and no other figure's clause."""
    words = re.findall(r"[^\W_]+", name)
    return name.strip(" :.") not in _WORD_OF_FIGURE and "," not in name and _NO_TESTER.isdisjoint(words)


def _made(cell: str, value: str, minimum: str, unit: str, tester: str, instrument: str) -> TestReading:
    figure, low = _number(value), _number(minimum)
    remark = None
    if figure is None or (minimum and low is None):
        remark = Remark(
            "the comma can be a decimal or a thousands mark, the figure is kept as written", "write a point"
        )
    elif tester and instrument and tester.casefold() != instrument.casefold():
        reason = f"the reading names {shown(tester)}, the list {shown(instrument)}: the reading's own is taken"
        remark = Remark(reason, "correct it if that is not so")
    elif instrument:
        pass  # its scale is that instrument's
    elif tester:
        remark = Remark(
            f"a reading of {shown(tester)}: it compares with that tester only", "say which instrument it is"
        )
    elif unit == "%":
        remark = Remark("what a hundred per cent is, is not said", "name the tester and the type's own hundred")
    elif not unit:
        remark = Remark("the scale of the reading is not said", "name the unit or the tester")
    kind = TESTER if tester else PERCENT if unit == "%" else VALUE
    tester = tester or instrument
    # A tester's plain figures have a scale of their own; a percentage or a good/bad figure of no named tester has none.
    scale = f"{tester} {unit}".strip() if tester else unit.replace("%", "")
    return TestReading(cell, kind, value, minimum, "", unit, tester, scale, figure, low, remark)


def _number(text: str) -> Decimal | None:
    if not text or re.fullmatch(r"[0-9]{1,3}[.,][0-9]{3}", text):
        return None
    return Decimal(text.replace(",", "."))


def _unread(cell: str, reason: str, action: str = _WRITE) -> TestReading:
    return TestReading(cell, UNREAD, remark=kept_as_found(reason, action))
