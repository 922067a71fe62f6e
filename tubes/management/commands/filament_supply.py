"""``manage.py filament_supply``: what a filament supply must give to a circuit, and what to look at."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.queries.filaments import supply_of
from tubes.queries.judging import court
from tubes.rules.circuit import parse_circuit
from tubes.rules.units import parse_quantity
from tubes.wording.cautions import FILAMENT_SUPPLIES


class Command(AnswerCommand):
    help = "Work out a filament supply: + puts heaters in series, | in parallel, brackets nest."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--circuit", required=True, help='for example "(838+838) | (838+838) | 801A"')
        parser.add_argument("--supply", required=True, help="voltage of the supply with its unit, for example 24 V")
        parser.add_argument("--budget", metavar="A", help="what the supply can give, with its unit, for example 8 A")

    def answer(self, **options: Any) -> Any:
        circuit = parse_circuit(options["circuit"])
        supply_v = parse_quantity(options["supply"], "V")
        budget_a = parse_quantity(options["budget"], "A") if options["budget"] else None
        return supply_of(circuit, supply_v, court(), budget_a).as_dict()

    def show(self, answer: Any) -> None:
        for branch in answer["branches"]:
            self.stdout.write(
                f"{' + '.join(branch['tubes'])}: {branch['volts_needed']:g} V, {branch['current_a']:g} A; dropper "
                f"{branch['dropper_ohm']:.2f} ohm, {branch['dropper_w']:.2f} W"
            )
            for saying in branch["life"]:
                times = " to ".join(f"{value:.2f}" for value in sorted(saying["times"]))
                self.stdout.write(f"  life of {saying['type']} without it: {times} times ({saying['author']})")
        self.stdout.write(f"All: {answer['total_current_a']:g} A, {answer['total_w']:g} W")
        for warning in answer["warnings"]:
            self.stdout.write(f"  {warning}")
        self.stdout.write(FILAMENT_SUPPLIES)
