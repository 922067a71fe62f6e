"""Crystals: FT-241-A holders bear the channel's frequency, not the crystal's own; others the crystal's own in kc."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading
from inventory.holdings.rules.markings.tables import MEMORY, NO_SOURCE, MarkingTables
from tubes.rules.units import LIGHT, ON_OLD_DIALS, wave

CRYSTAL = "crystal"
_FT241 = re.compile(r"ft\W?241\W?(?:a\b)?\W*(.*)", re.DOTALL)
#: Holders and units that bear the crystal's own frequency; a unit of MIL-C-3098 is CR-18/U, a holder HC-6/U.
_OWN = re.compile(
    r"(?P<holder>ft\W?(?:243|171|164|249)(?:\W?[ab]\b)?|dc\W?3[45]|(?:cr|hc)\W?\d{1,3}[a-z]?(?:\W?/?\W?(?:u|ar)\b)?)"
    r"[\s,:()]*(?P<marked>.*)",
    re.DOTALL,
)
_CHANNEL = re.compile(
    r"(?:(?:ch(?:annel)?|chan)\.?\W*(?:no|number|nr)?\.?\W*)?(\d{1,3})\W*"
    r"(?:\(?\W*(2|3|two|three)\W*(?:digit|figure)s?(?:\W*series)?\W*\)?)?"
)
_FREQUENCY = re.compile(r"(\d+(?:[.,]\d+)?)\s*(kc/?s?|khz|mc/?s?|mhz|)\.?")
#: A wavelength. Only a small m that stands apart: 80 M is megohm, 80m a value with its letter.
_METRES = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s+m|\s*[Mm]et(?:re|er)s?)\.?")
LOWEST, HIGHEST = 300, 541  # kc, of the three-digit series (F. Dupont: 300 to 540; channel 389 is 540.28)
#: Channels that were made, from memory: two digits 0 to 79, three digits 270 to 389.
MADE = {2: range(0, 80), 3: range(270, 390)}
#: What holders and units are made for, in kc: FT-243 common practice, no source; the rest from memory.
SPAN = {"FT-243": (1000, 20_000)}
ANY_SPAN = (1, 250_000)
#: Units of MIL-C-3098, from memory: tolerance over their range of temperature in per cent, and what they are.
UNITS = {
    "CR-18/U": ("0.005", "fundamental, parallel resonance with 32 pF, holder HC-6/U"),
    "CR-19/U": ("0.005", "fundamental, series resonance, holder HC-6/U"),
    "CR-23/U": ("0.005", "overtone, series resonance, holder HC-6/U"),
}
EXPECTED = "expected such as FT-241 channel 45, FT-241 channel 300, FT-243 7010 kc, CR-18/U 7010 kc"


#: Metres times megacycles, and who reckons by it: the SI; common practice on old dials, no source.
SHORTEST, LONGEST = 10, 10_000  # metres; shorter ones came after metres went out of use (common practice, no source)
WAVES = ((LIGHT, "the speed of light"), (ON_OLD_DIALS, "as old dials go"))


def read_crystal(text: str, tables: MarkingTables) -> Answer:
    """Holder with channel or frequency, or a frequency alone: the crystal's own frequency in kc."""
    words = re.sub(r"[–—−]", "-", " ".join(text.lower().split()))
    words = re.sub(r"^(?:crystal|xtal)\W+", "", words)
    try:
        if match := _FT241.fullmatch(words):
            return _ft241_marked(match[1].strip(), tables)
        if match := _OWN.fullmatch(words):
            return Answer((_own(_named(match["holder"]), match["marked"].strip(), tables),), near=True)
        if (frequency := _FREQUENCY.fullmatch(words)) and frequency[2]:
            return Answer((_own("", words, tables),), near=True)
        if metres := _METRES.fullmatch(re.sub(r"^(?:crystal|xtal)\W+", "", text.strip(), flags=re.IGNORECASE)):
            return _wave(float(metres[1].replace(",", ".")), tables)
    except MarkingFault as fault:
        return Answer(refusal=f"{text.strip()!r}: {fault}; {EXPECTED}", near=True)
    near = words[:3] in ("ft-", "ft ") or words[:2] == "ft"
    return Answer(refusal=f"{text.strip()!r} names no crystal holder known here; {EXPECTED}", near=near)


def _wave(metres: float, tables: MarkingTables) -> Answer:
    """A wavelength by the speed of light, and as old dials and crystals were marked, by 300."""
    if not SHORTEST <= metres <= LONGEST:
        raise MarkingFault(f"a crystal is not marked with {metres:g} m (common practice, no source)")
    readings = (
        Reading(
            CRYSTAL, round(wave(metres, product=product), 9), "kc", "", Form("m", number), None, "",
            (f"{metres:g} m by {product:g}/f in Mc, {whose}", *tables.cited(NO_SOURCE)),
        )
        for number, (product, whose) in enumerate(WAVES)
    )  # fmt: skip
    return Answer(
        tuple(readings), ("A wavelength: old dials go by 300, which makes it 0.07 % another frequency.",), near=True
    )


def _ft241_marked(marked: str, tables: MarkingTables) -> Answer:
    if channel := _CHANNEL.fullmatch(marked):
        return _channel(channel, tables)
    found = tuple(_channel_frequency(marked, tables))
    both = ("Channels of both series have that frequency, and their crystals differ: measure it",)
    return Answer(found, both if len(found) > 1 else (), near=True)


def _channel(match: re.Match[str], tables: MarkingTables) -> Answer:
    figures = match[1]
    digits = {"2": 2, "two": 2, "3": 3, "three": 3}.get(match[2] or "", 3 if len(figures) == 3 else 2)
    if digits == 2 and len(figures) == 3:
        raise MarkingFault("a channel of three figures is not of the two-digit series")
    if digits == 3 and len(figures) < 3:
        raise MarkingFault("a channel of the three-digit series has three figures")
    channel = int(figures)
    reading = _ft241(channel, digits, tables)
    if not LOWEST <= float(reading.value or 0) <= HIGHEST:
        raise MarkingFault(f"channel {figures} would lie outside 300 to 540 kc")
    if channel in MADE[digits]:
        return Answer((reading,), near=True)
    made = " and ".join(f"{span[0]} to {span[-1]}" for span in MADE.values())
    return Answer(
        (reading,), (f"Channel {channel} is not among those that were made, {made} (from memory).",), near=True
    )


def channel_kc(channel: int, digits: int) -> Decimal:
    """The crystal's own frequency in kc of a channel of the series of two or three digits (F. Dupont; L7.12)."""
    return Decimal(200 + channel) * 1000 / 540 if digits == 2 else Decimal(channel) * 1000 / 720


def _ft241(channel: int, digits: int, tables: MarkingTables) -> Reading:
    """``(20 + ch/10)/54`` Mc or ``ch/720`` Mc (F. Dupont)."""
    kc = channel_kc(channel, digits)
    marked = Decimal(200 + channel if digits == 2 else channel) / 10
    return Reading(
        CRYSTAL, round(float(kc), 9), "kc", "FT-241-A", Form("FT-241", digits), None, "",
        (
            f"The crystal's own frequency; the holder bears the channel's, {marked} Mc,"
            f" {54 if digits == 2 else 72} times as high",
            *tables.cited("ka7exm-dupont"),
        ),
    )  # fmt: skip


def _channel_frequency(text: str, tables: MarkingTables) -> Iterator[Reading]:
    """The readings of a holder that is marked with the channel's frequency in Mc: both series have 27.0 to 27.9."""
    match = _FREQUENCY.fullmatch(text)
    if not match or (match[2][:1] != "m" and (match[2] or "." not in match[1].replace(",", "."))):
        raise MarkingFault("an FT-241 bears a channel or the channel's frequency in Mc")
    tenths = Decimal(match[1].replace(",", ".")) * 10
    if tenths != tenths.to_integral_value():
        raise MarkingFault("channels of FT-241 lie 0.1 Mc apart")
    series = [(digits, int(tenths) - (200 if digits == 2 else 0)) for digits in (2, 3)]
    found = [_ft241(channel, digits, tables) for digits, channel in series if channel in MADE[digits]]
    if not found:
        raise MarkingFault("no channel of FT-241 has that frequency; expected 20.0 to 38.9 Mc (from memory)")
    yield from found


def _named(holder: str) -> str:
    """A holder or unit as it is written: FT-243, CR-18/U, CR-1A/AR."""
    head, number, tail = re.fullmatch(r"([a-z]+)\W*(\d+)\W*([a-z/]*\W*[a-z]*)", holder).groups()  # type: ignore[union-attr]
    tail = re.sub(r"[^a-z]", "", tail)
    behind = next((word for word in ("ar", "u") if tail.endswith(word)), "")
    letter = tail.removesuffix(behind)
    slash = f"/{behind.upper()}" if behind else "/U" if head in ("cr", "hc") else ""
    return f"{head.upper()}-{int(number)}{'-' if letter and head == 'ft' else ''}{letter.upper()}{slash}"


def _own(holder: str, text: str, tables: MarkingTables) -> Reading:
    """A crystal that bears its own frequency, in a holder or, where that is empty, in one that is not named."""
    match = _FREQUENCY.fullmatch(text)
    if not match:
        raise MarkingFault(f"expected a frequency in kc behind {holder}")
    figure, unit = Decimal(match[1].replace(",", ".")), match[2]
    # A figure without a unit is in kc; one with a point below 250 can be nothing but Mc.
    mega = unit[:1] == "m" or (not unit and "." in match[1].replace(",", ".") and figure < 250)
    kc = figure * 1000 if mega else figure
    low, high = SPAN.get(holder, ANY_SPAN)
    if not low <= kc <= high:
        where = f"{low} to {high} kc"
        raise MarkingFault(f"{kc} kc is outside {where}, where such crystals lie (common practice, no source)")
    remarks = ["Marked with the crystal's own frequency; some sets mark a channel instead"]
    if not holder:
        remarks = ["A frequency alone: the crystal's own, but an FT-241 bears the channel's"]
    if not unit:
        remarks.append(f"Without a unit it is {'Mc' if mega else 'kc'}")
    tolerance, about = UNITS.get(holder, ("", ""))
    remarks += [f"{about[0].upper()}{about[1:]}"] if about else []
    sources = ("amradio-ft243", NO_SOURCE, MEMORY) if holder == "FT-243" else (NO_SOURCE, MEMORY)
    return Reading(
        CRYSTAL, kc, "kc", holder, Form(holder or "kc"), Decimal(tolerance) if tolerance else None, "",
        (*remarks, *tables.cited(*sources)),
    )  # fmt: skip
