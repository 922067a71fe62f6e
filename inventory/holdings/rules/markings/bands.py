"""Resistors: coloured bands (IEC 60062), and body, end and dot of the time before."""

from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import (
    Answer,
    Form,
    MarkingFault,
    Reading,
    listed,
    preferred_words,
)
from inventory.holdings.rules.markings.colours import NONE, Colours
from inventory.holdings.rules.markings.tables import NO_SOURCE, MarkingTables

BANDS, BED = "resistor-bands", "resistor-bed"
BED_PLACES = ("body", "end", "dot", "opposite end")
EXPECTED = (
    "expected 3 to 6 bands: two or three figures (black to white), a multiplier (these, gold or silver), a tolerance"
    " (none where there is no band), and of six a temperature coefficient"
)
TWO_WAYS = (
    "It can be read from either end. The first band lies nearer to its end, the tolerance band stands a little apart"
    " (common practice, no source): look, or measure."
)


def read_bands(colours: Colours, tables: MarkingTables) -> Answer:
    """Three to six bands, from either end; every reading that the code allows."""
    bands = colours.found
    if colours.named:
        return Answer(
            refusal="body, end, dot, top or bottom are no bands; name the colours of the bands in their order"
        )
    if not 3 <= len(bands) <= 6:
        return Answer(refusal=f"{len(bands)} colours; {EXPECTED}", near=True)
    forward, why = _one_way(bands, tables)
    back, why_back = ((), "") if bands == bands[::-1] else _one_way(bands[::-1], tables)
    back = tuple(
        Reading(
            one.kind, one.value, one.unit, one.standard, one.form, one.tolerance_pct, one.rating,
            ("Read from the other end", *one.notes),
        )
        for one in back
    )  # fmt: skip
    if forward and back:
        return Answer((*forward, *back), (TWO_WAYS,), near=True)
    if back:
        return Answer(back, (f"As written it is no marking ({why}); it was read from the other end.",), near=True)
    refusal = (
        ""
        if forward
        else f"as bands: {why}" + (f"; from the other end: {why_back}" if why_back else "") + f"; {EXPECTED}"
    )
    return Answer(forward, (), refusal, near=True)


def _one_way(bands: tuple[str, ...], tables: MarkingTables) -> tuple[tuple[Reading, ...], str]:
    """The readings of bands from their first on, or why there is none."""
    readings: list[Reading] = []
    why = ""
    for figured, figures, temperature, failure in _ways(bands, tables):
        try:
            readings += _toleranced(figured, tables, figures, temperature, failure)
        except MarkingFault as fault:
            why = why or str(fault)
    return tuple(readings), "" if readings else why


def _ways(bands: tuple[str, ...], tables: MarkingTables) -> Iterator[tuple[tuple[str, ...], int, str, str]]:
    """Bands of figures, multiplier and tolerance, how many are figures; temperature coefficient; failure rate."""
    match len(bands):
        case 3:
            yield (*bands, NONE), 2, "", ""
        case 4:
            yield bands, 2, "", ""
        case 5:
            yield bands, 3, "", ""
            if bands[3] in ("gold", "silver") and tables.of("failure-rate", bands[4]):
                yield bands[:4], 2, "", bands[4]
        case _:
            yield bands[:5], 3, bands[5], ""


def _toleranced(
    bands: tuple[str, ...], tables: MarkingTables, figures: int, temperature: str, failure: str
) -> Iterator[Reading]:
    *figured, multiplier, tolerance = bands
    value, sources = value_of(tuple(figured), multiplier, tables)
    meanings = tables.of("tolerance", tolerance)
    if not meanings:
        raise MarkingFault(f"{tolerance} is no tolerance")
    notes: list[str] = []
    if temperature:
        ppm = tables.of("temperature", temperature)
        if not ppm:
            raise MarkingFault(f"{temperature} is no temperature coefficient")
        notes.append(f"Temperature coefficient {ppm[0].said} ppm/K")
        sources = (*sources, ppm[0].source)
    if failure:
        rate = tables.of("failure-rate", failure)[0]
        notes.append(f"The fifth band as failure rate: {rate.said} % in 1000 hours")
        sources = (*sources, rate.source)
    for meaning in meanings:
        remark = (f"{tolerance} as tolerance: {meaning.note}",) if meaning.note else ()
        yield Reading(
            BANDS, value, "ohm", "MIL-R-39008" if failure else "IEC 60062",
            Form(
                BANDS, figures, tolerance="" if tolerance == NONE else tolerance,
                temperature=temperature, failure_rate=failure,
            ),
            meaning.per_cent, "",
            (*notes, *remark, *preferred_words(value), *tables.cited(*sources, meaning.source)),
        )  # fmt: skip


def value_of(
    figures: tuple[str, ...], multiplier: str, tables: MarkingTables, low: bool = False
) -> tuple[Decimal, tuple[str, ...]]:
    """Figures times multiplier, and the sources of the meanings. ``low``: whether the first figure may be 0.

    Raises MarkingFault.
    """
    said, sources = "", []
    for at, colour in enumerate(figures):
        meaning = tables.of("figure", colour)
        if not meaning:
            raise MarkingFault(f"{colour} is no figure")
        if at == 0 and meaning[0].said == "0" and not low:
            raise MarkingFault(f"the first figure cannot be {colour}, a 0")
        said += meaning[0].said
        sources.append(meaning[0].source)
    times = tables.of("multiplier", multiplier)
    if not times:
        raise MarkingFault(f"{multiplier} is no multiplier")
    return Decimal(said) * times[0].number, (*sources, times[0].source)


def read_bed(colours: Colours, tables: MarkingTables) -> Answer:
    """Body, end, dot, and where there is one the colour of the opposite end."""
    try:
        body, end, dot, opposite = _bed_places(colours)
    except MarkingFault as fault:
        return Answer(refusal=str(fault), near=3 <= len(colours.found) <= 4)
    notes = []
    if unseen := [name for name, colour in (("end", end), ("dot", dot)) if colour == NONE]:
        notes.append(
            f"No {listed(unseen)} of its own colour: it has that of the body then (common practice, no source)"
        )
        end, dot = (body if colour == NONE else colour for colour in (end, dot))
    try:
        if not tables.of("figure", dot):
            raise MarkingFault(f"a dot in {dot} is no number of zeros; expected black to white")
        low = dot == "black" and end != "black"  # 02 with no zeros is 2 ohm; anything else is written without the 0
        value, _ = value_of((body, end), dot, tables, low)
        if body == "black":
            notes.append("A first figure of 0: below 10 ohm (from memory)")
        tolerance = tables.of("bed-tolerance", NONE if opposite == body else opposite)
        if not tolerance:
            expected = listed(tables.colours_for("bed-tolerance"))
            raise MarkingFault(f"{opposite} at the opposite end is no tolerance; expected {expected}")
    except MarkingFault as fault:
        return Answer(refusal=f"as body, end and dot: {fault}", near=True)
    reading = Reading(
        BED, value, "ohm", "RMA",
        Form(BED, tolerance="" if opposite in (NONE, body) else opposite),
        tolerance[0].per_cent, "",
        (
            *notes, *preferred_words(value),
            *tables.cited("heathkit-t2", tolerance[0].source, *((NO_SOURCE,) if unseen else ())),
        ),
    )  # fmt: skip
    return Answer((reading,), near=True)


def _bed_places(colours: Colours) -> tuple[str, str, str, str]:
    """Colours of body, end, dot and opposite end. Raises MarkingFault."""
    expected = (
        "expected BODY END DOT (none where no dot is seen), and the colour of the opposite end where it has one of its"
        " own"
    )
    if not 3 <= len(colours.found) <= 4:
        raise MarkingFault(f"{len(colours.found)} colours; {expected}")
    if not colours.named:
        body, end, dot, *rest = colours.found
        return body, end, dot, rest[0] if rest else NONE
    at: dict[str, str] = {}
    for colour, words in zip(colours.found, colours.places, strict=True):
        place = "opposite end" if {"opposite", "other"} & set(words) else " ".join(words)
        if place == "end" and place in at:
            place = "opposite end"  # the second one that is named is the other
        if place not in BED_PLACES or place in at:
            raise MarkingFault(f"{colour} stands for {place or 'nothing that is named'}; {expected}")
        at[place] = colour
    if missing := [name for name in BED_PLACES[:3] if name not in at]:
        raise MarkingFault(f"no colour for the {listed(missing)}; {expected}")
    return at["body"], at["end"], at["dot"], at.get("opposite end", NONE)
