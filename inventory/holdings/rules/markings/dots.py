"""Mica and paper capacitors with six dots, arrows pointing right. A measured capacitance always overrides."""

from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.bands import value_of
from inventory.holdings.rules.markings.colours import NONE, Colours
from inventory.holdings.rules.markings.dots_old import DOTS, MEASURE, read_five, read_old
from inventory.holdings.rules.markings.tables import MEMORY, MarkingTables, Meaning

PLACES = ("type", "first figure", "second figure", "characteristic", "tolerance", "multiplier")
STANDARDS = {"black": "JAN-C-5 (AWS)", "white": "RMA/EIA", "silver": "AWS"}
FIVE = (
    "capacitors with five dots follow codes that differ from maker to maker: they are read by each of them where "
    "their kind, mica-dots, is named; measure it"
)
THREE = "a capacitor with three dots is read by the older RMA code where its kind, mica-dots, is named"
Meanings = tuple[Meaning, ...]
LARGEST_PF = 100_000  # of a moulded mica capacitor; common practice, no source


def read_dots(colours: Colours, tables: MarkingTables, told: bool = False) -> Answer:
    """The colours of type, two figures, then characteristic, tolerance and multiplier, as ``PLACES`` names them; where
    the first is no type, by the older code. ``told``: known to be dots, so that three and five are read as well.
    """
    found = colours.found
    if len(found) in (3, 5) and told:
        return _older(found, tables)
    if len(found) != 6:
        more = {3: THREE, 5: FIVE}.get(len(found), "expected six: top row left to right, then bottom row left to right")
        return Answer(refusal=f"as dots, {len(found)}: {more}", near=len(found) in (3, 5) and not colours.named)
    try:
        found = _rows(colours)
    except MarkingFault as fault:
        return Answer(refusal=f"as six dots: {fault}", near=True)
    kind, first, second, characteristic, tolerance, multiplier = found
    types = tables.of("dots-type", kind)
    if not types:
        return _older(found, tables)
    try:
        value, _ = value_of((first, second), multiplier, tables)
    except MarkingFault as fault:
        return Answer(refusal=f"as six dots: {fault}", near=True)
    remarks, sources = [types[0].said], [types[0].source]
    if characteristic == NONE:
        remarks.append("no characteristic marked")
    elif letters := tables.of("dots-characteristic", characteristic):
        remarks.append(f"characteristic {letters[0].said}")
        sources.append(letters[0].source)
    else:
        remarks.append(f"{characteristic} is no characteristic known here")
    if multiplier in ("gold", "silver"):
        sources.append(MEMORY)
    rating = _volts(kind, value)
    head = ", ".join(remarks)
    warnings = []
    if value > LARGEST_PF:
        warnings.append(f"{value} pF is more than such a capacitor has (common practice, no source): look at the dots.")
    if kind == "white":
        head += "; where an older code is meant, a white first dot is the figure 9 (from memory)"
    meanings: Meanings = () if tolerance == NONE else tables.of("dots-tolerance", tolerance)
    if tolerance == NONE:
        warnings.append("No tolerance is marked, and none is presumed.")
    elif not meanings or any(not one.said for one in meanings):
        warnings.append(f"{tolerance} in the place of the tolerance is not standard{_disputed(meanings)}.")
    readings = [
        Reading(
            DOTS, value, "pF", STANDARDS[kind],
            Form(DOTS, tolerance="" if tolerance == NONE else tolerance, style=kind,
                 characteristic="" if characteristic == NONE else characteristic),
            per_cent, rating,
            (head, MEASURE, *remark, *preferred_words(value), *tables.cited(*sources, *more)),
        )
        for per_cent, remark, more in _tolerances(meanings, tolerance)
    ]  # fmt: skip
    return Answer(tuple(readings), tuple(warnings), near=True)


def _older(found: tuple[str, ...], tables: MarkingTables) -> Answer:
    try:
        return read_five(found, tables) if len(found) == 5 else read_old(found, tables)
    except MarkingFault as fault:
        return Answer(refusal=f"as dots of the older code: {fault}", near=True)


def _tolerances(meanings: Meanings, tolerance: str) -> list[tuple[Decimal | None, tuple[str, ...], tuple[str, ...]]]:
    """Per cent, remark and source of each meaning; one of none where there is none."""
    return [
        (one.per_cent, (f"Tolerance {tolerance}: {one.note}",) if one.note else (), (one.source,)) for one in meanings
    ] or [(None, (), ())]


def _disputed(meanings: Meanings) -> str:
    said = [f"{one.said} %, {one.note}" for one in meanings if one.said]
    return f"; {'; '.join(said)}" if said else ""


def _rows(colours: Colours) -> tuple[str, ...]:
    """The six colours, top row first, also where the text names the bottom row first. Raises MarkingFault."""
    if not colours.named:
        return colours.found
    heads = [(at, words) for at, words in enumerate(colours.places) if words]
    if heads == [(0, ("top",)), (3, ("bottom",))]:
        return colours.found
    if heads == [(0, ("bottom",)), (3, ("top",))]:
        return colours.found[3:] + colours.found[:3]
    raise MarkingFault("expected three colours after top and three after bottom")


def _volts(kind: str, value: Decimal) -> str:
    """The working voltage of an AWS mica capacitor by its value (the list post of the sources); else not said."""
    if kind != "black" or value > 10_000:
        return ""
    return "500 V" if value < 6800 else "300 V"
