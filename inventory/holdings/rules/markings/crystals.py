"""Crystals: FT-241-A holders bear the channel's frequency, not the crystal's own; FT-243 the crystal's own in kc."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading
from inventory.holdings.rules.markings.tables import MEMORY, NO_SOURCE, MarkingTables

CRYSTAL = "crystal"
_HOLDER = re.compile(r"ft\W?(24[13])\W?(?:a\b)?\W*(.*)", re.DOTALL)
_CHANNEL = re.compile(
    r"(?:ch(?:annel)?|chan)\.?\W*(?:no|number|nr)?\.?\W*(\d{1,3})\W*(?:\(?\W*(2|3|two|three)\W*(?:digit|figure)s?(?:\W*series)?\W*\)?)?"
)
_FREQUENCY = re.compile(r"(\d+(?:[.,]\d+)?)\s*(kc/?s?|khz|mc/?s?|mhz|)\.?")
LOWEST, HIGHEST = 300, 541  # kc, of the three-digit series (F. Dupont: 300 to 540; channel 389 is 540.28)
#: Channels that were made, from memory: two digits 0 to 79, three digits 270 to 389.
MADE = {2: range(0, 80), 3: range(270, 390)}
EXPECTED = "expected such as FT-241 channel 45, FT-241 channel 300, FT-243 7010 kc"


def read_crystal(text: str, tables: MarkingTables) -> Answer:
    """Holder with channel or frequency: the crystal's own frequency in kc."""
    words = re.sub(r"[–—−]", "-", " ".join(text.lower().split()))
    match = _HOLDER.fullmatch(words)
    if not match:
        return Answer(
            refusal=f"{text.strip()!r} names no crystal holder known here; {EXPECTED}", near=words[:2] == "ft"
        )
    holder, marked = match[1], match[2].strip()
    try:
        if holder == "243":
            return Answer((_ft243(marked, tables),), near=True)
        if channel := _CHANNEL.fullmatch(marked):
            return _channel(channel, tables)
        found = tuple(_channel_frequency(marked, tables))
        both = ("Channels of both series have that frequency, and their crystals differ: measure it",)
        return Answer(found, both if len(found) > 1 else (), near=True)
    except MarkingFault as fault:
        return Answer(refusal=f"{text.strip()!r}: {fault}; {EXPECTED}", near=True)


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


def _ft241(channel: int, digits: int, tables: MarkingTables) -> Reading:
    """``(20 + ch/10)/54`` Mc or ``ch/720`` Mc (F. Dupont)."""
    kc = Decimal(200 + channel) * 1000 / 540 if digits == 2 else Decimal(channel) * 1000 / 720
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
    if not match or match[2][:1] != "m":
        raise MarkingFault("an FT-241 bears a channel or the channel's frequency in Mc")
    tenths = Decimal(match[1].replace(",", ".")) * 10
    if tenths != tenths.to_integral_value():
        raise MarkingFault("channels of FT-241 lie 0.1 Mc apart")
    series = [(digits, int(tenths) - (200 if digits == 2 else 0)) for digits in (2, 3)]
    found = [_ft241(channel, digits, tables) for digits, channel in series if channel in MADE[digits]]
    if not found:
        raise MarkingFault("no channel of FT-241 has that frequency; expected 20.0 to 38.9 Mc (from memory)")
    yield from found


def _ft243(text: str, tables: MarkingTables) -> Reading:
    match = _FREQUENCY.fullmatch(text)
    if not match:
        raise MarkingFault("expected a frequency in kc behind FT-243")
    figure, unit = Decimal(match[1].replace(",", ".")), match[2]
    kc = figure * 1000 if unit[:1] == "m" else figure
    if not 1000 <= kc <= 20_000:
        raise MarkingFault(
            f"{kc} kc is outside 1000 to 20000 kc, where FT-243 crystals lie (common practice, no source)"
        )
    note = "" if unit else "Without a unit it is kc"
    remarks = (note,) if note else ()
    return Reading(
        CRYSTAL, kc, "kc", "FT-243", Form("FT-243"), None, "",
        ("Marked with the crystal's own frequency; some sets mark a channel instead", *remarks,
         *tables.cited("amradio-ft243", NO_SOURCE, MEMORY)),
    )  # fmt: skip
