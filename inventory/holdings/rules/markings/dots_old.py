"""Mica capacitors with dots of the code before 1940 or so: three dots, or six of which the first is a figure.

From memory, no text read: three dots are two figures and a multiplier, 500 V and 20 %; six are three figures above, and
below voltage, tolerance and multiplier. Codes with five dots differ from maker to maker and are not read.
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
