"""Questions about a filament supply: stamps in a circuit into rated heaters, then the rule."""

from tubes.queries.judging import Court
from tubes.queries.named import type_named
from tubes.rules.circuit import Node, tubes_in
from tubes.rules.figures import MERCURY, TypeFigures
from tubes.rules.sources import MEMORY, TWICE
from tubes.rules.supply import LEAST_V, MOST_V, Heater, Supply, filament_supply


def heater_of(figures: TypeFigures) -> Heater:
    """The rated heater of a type. Raises ValueError with one line where it has none or it is not known."""
    if figures.cold:
        raise ValueError(f"{figures.name} has no heater; leave it out of the circuit")
    volts, amperes = figures.numbers.get("heater_v"), figures.numbers.get("heater_a")
    if volts is None or amperes is None:
        raise ValueError(f"the heater of {figures.name} is not known: give its figures on the page of the type first")
    by_heart = bool({MEMORY, TWICE} & {volts.grade, amperes.grade})
    return Heater(
        figures.name, volts.value, amperes.value, figures.word("cathode"), by_heart, figures.filling == MERCURY
    )


def supply_of(circuit: Node, supply_v: float, court: Court, budget_a: float | None = None) -> Supply:
    """What a supply must give to a circuit of stamps. Raises ValueError naming the tube and where it stands."""
    if not LEAST_V <= supply_v <= MOST_V:
        raise ValueError(
            f"the supply is {supply_v:g} V; expected a positive figure such as 24 V, {LEAST_V:g} to {MOST_V:g} V"
        )
    heaters = {}
    for tube in tubes_in(circuit):
        try:
            heaters[tube.text] = heater_of(court[type_named(tube.text, court.known)])
        except ValueError as fault:
            raise ValueError(f"character {tube.at}: {fault}") from fault
    return filament_supply(circuit, heaters, supply_v, court.limits, budget_a)
