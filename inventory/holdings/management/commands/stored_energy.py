"""``manage.py stored_energy``: what a bank of capacitors holds, and how long a bleeder takes to let it go."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.rules.bank_text import read_bank
from inventory.holdings.wording.hazard_figures import bank_figures
from inventory.house.command import AnswerCommand, BadInput
from tubes.rules.units import parse_quantity


class Command(AnswerCommand):
    help = "Energy of a capacitor bank, its discharge through a bleeder, and the largest bleeder for a time."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--capacitor",
            required=True,
            action="append",
            help="with its unit, '8 mfd', '2 x 4 mfd', with its rated voltage '8 mfd 450 V'; again for each",
        )
        parser.add_argument("--series", action="store_true", help="they are in series; else in parallel")
        parser.add_argument(
            "--volts", help="across the bank, with its unit, '1050 V'; left out: each at its rated voltage"
        )
        parser.add_argument("--bleeder", help="with its unit, '100 kohm'")
        parser.add_argument("--within", help="the time it may take, '5 s'")
        parser.add_argument("--down-to", default="50 V", help="the voltage to come down to; 50 V where none is named")

    def answer(self, **options: Any) -> Any:
        def read(name: str, unit: str) -> float | None:
            return None if options[name] is None else _quantity(name, options[name], unit)

        try:
            capacitors = read_bank(options["capacitor"])
        except ValueError as fault:
            raise BadInput(f"--capacitor: {fault}") from fault
        return bank_figures(
            capacitors, read("volts", "V"),
            in_series=options["series"], bleeder_ohm=read("bleeder", "ohm"), within_s=read("within", "s"),
            down_to_v=_quantity("down_to", options["down_to"], "V"),
        )  # fmt: skip

    def show(self, answer: Any) -> None:
        at = f"at {answer['volts']:g} V"
        if answer["each_at_its_rating"]:
            at = f"each at its rated voltage, the highest {answer['volts']:g} V"
        down = f"{answer['down_to_v']:g} V"
        self.stdout.write(f"{answer['capacitance_uf']:.4g} uF {at}: {answer['energy_j']:.4g} J")
        if answer["bleeder_ohm"] is not None:
            self.stdout.write(
                f"Down to {down} in {answer['discharge_s']:.3g} s through {answer['bleeder_ohm']:g} ohm, which"
                f" dissipates {answer['bleeder_w']:.3g} W while the supply is on"
            )
        if answer["largest_bleeder_ohm"] is not None:
            self.stdout.write(
                f"Down to {down} within {answer['within_s']:g} s: {answer['largest_bleeder_ohm']:.4g} ohm at most"
            )
        self.stdout.write(answer["caution"])


def _quantity(name: str, text: str, unit: str) -> float:
    try:
        return parse_quantity(text, unit)
    except ValueError as fault:
        raise BadInput(f"--{name.replace('_', '-')}: {fault}") from fault
