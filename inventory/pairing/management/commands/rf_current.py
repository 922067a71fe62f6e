"""``manage.py rf_current``: aerial current for a power into a load, and whether a thermocouple meter can show it."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.pairing.rules.on_air_checks import current_a, deflection, readable
from tubes.rules.units import parse_quantity


class Command(AnswerCommand):
    help = "RF current for a power into a resistive load; is it readable on a square-law ammeter (from a third up)?"
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--power", required=True, help="with its unit, for example '80 W'")
        parser.add_argument("--load", required=True, help="with its unit, for example '50 ohm'")
        parser.add_argument("--full-scale", help="of the ammeter with its unit, for example '8 A'")

    def answer(self, **options: Any) -> Any:
        current = current_a(_positive("power", options["power"], "W"), _positive("load", options["load"], "ohm"))
        if options["full_scale"] is None:
            return {"current_a": current, "fraction_of_scale": None, "readable": None}
        full = _positive("full-scale", options["full_scale"], "A")
        return {"current_a": current, "fraction_of_scale": current / full, "readable": readable(current, full)}

    def show(self, answer: Any) -> None:
        self.stdout.write(f"{answer['current_a']:.3g} A")
        part = answer["fraction_of_scale"]
        if part is None:
            return
        where = f"{part:.3g} of full scale; a thermocouple meter deflects to {deflection(part, 1):.3g} of its scale"
        if answer["readable"]:
            verdict = "readable"
        else:
            verdict = "beyond the scale" if part > 1 else "not readable below one third of full scale (47 CFR 73.1215)"
        self.stdout.write(f"{where}: {verdict}")
        self.stdout.write("Resistive load at the meter. RF burns: keep hands off tank and aerial.")


def _positive(name: str, text: str, unit: str) -> float:
    try:
        value = parse_quantity(text, unit)
    except ValueError as fault:
        raise BadInput(f"--{name}: {fault}") from fault
    if value <= 0:
        raise BadInput(f"--{name}: {text!r}; expected a figure above 0")
    return value
