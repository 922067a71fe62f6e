"""Mica capacitors with dots of the code before 1940 or so: three dots, or six of which the first is a figure.

From memory, no text read: three dots are two figures and a multiplier, 500 V and 20 %; six are three figures above, and
below voltage, tolerance and multiplier. Five dots follow codes that differ from maker to maker: where they are known to
be dots, each that explains them has its reading, and none is chosen.
"""

from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.bands import value_of
from inventory.holdings.rules.markings.colours import NONE
from inventory.holdings.rules.markings.tables import MEMORY, MarkingTables

DOTS = "mica-dots"
RMA = "RMA"
MEASURE = "A measured capacitance always overrides the dots"
OLD = "Read by the older RMA code, which is from memory and which makers did not all keep to: measure it"
PLACES = ("first figure", "second figure", "third figure", "voltage", "tolerance", "multiplier")


#: What five dots are by the codes remembered, in the order of writing.
FIVE_DOTS = (
    ("first figure", "second figure", "multiplier", "tolerance", "voltage"),
    ("first figure", "second figure", "third figure", "tolerance", "multiplier"),
)
DISPUTED = (
    "Codes with five dots differ from maker to maker and in which row is read first; all of them are from memory: "
    "measure it before it is used."
)


def read_five(found: tuple[str, ...], tables: MarkingTables) -> Answer:
    """Five colours by each code remembered. Raises MarkingFault where none explains them."""
    readings: list[Reading] = []
    for places in FIVE_DOTS:
        said = dict(zip(places, found, strict=True))
        figures = tuple(said[name] for name in places if name.endswith("figure"))
        try:
            value, sources = value_of(figures, said["multiplier"], tables)
        except MarkingFault:
            continue
        per_cent = tables.of("old-dots-tolerance", said["tolerance"])
        rating = tables.of("old-dots-volts", said["voltage"]) if "voltage" in said else ()
        if not per_cent or ("voltage" in said and not rating):
            continue
        reading = Reading(
            DOTS, value, "pF", RMA,
            Form(
                DOTS, len(figures), tolerance=said["tolerance"], style=RMA, characteristic=said.get("voltage", ""),
                letter="".join(name[0] for name in places), places=5,
            ),
            Decimal(per_cent[0].said), f"{rating[0].said} V" if rating else "",
            (f"Five dots as {', '.join(places)}", MEASURE, *preferred_words(value), *tables.cited(*sources, MEMORY)),
        )  # fmt: skip
        readings.append(reading)
    if not readings:
        raise MarkingFault("none of the codes with five dots explains these colours")
    return Answer(tuple(readings), (DISPUTED,), near=True)


def read_old(found: tuple[str, ...], tables: MarkingTables) -> Answer:
    """Three or six colours by the older code. Raises MarkingFault."""
    figures: tuple[str, ...]
    if len(found) == 3:
        figures, volts, tolerance, multiplier = found[:2], NONE, NONE, found[2]
    else:
        figures, (volts, tolerance, multiplier) = found[:3], found[3:]
    value, sources = value_of(figures, multiplier, tables)
    rating = tables.of("old-dots-volts", volts)
    if not rating:
        raise MarkingFault(f"{volts} is no voltage of the older code")
    per_cent = tables.of("old-dots-tolerance", tolerance)
    if not per_cent:
        raise MarkingFault(f"{tolerance} is no tolerance of the older code")
    reading = Reading(
        DOTS, value, "pF", RMA,
        Form(
            DOTS, len(figures), tolerance=tolerance, style=RMA, characteristic=volts,
            places=len(found),  # three dots say no more than the value
        ),
        Decimal(per_cent[0].said), f"{rating[0].said} V",
        ("The older RMA code", MEASURE, *preferred_words(value), *tables.cited(*sources, MEMORY)),
    )  # fmt: skip
    return Answer((reading,), (f"{OLD}.",), near=True)
