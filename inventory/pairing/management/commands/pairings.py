"""``manage.py pairings``: which plug-in unit goes on which chassis, in which state, and why."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, parse_day
from inventory.pairing.queries import PairFilter, pairing_table
from tubes.rules.units import parse_frequency_kc


class Command(AnswerCommand):
    help = "State of every pair of chassis and plug-in unit, and of companions, with reasons."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--chassis", default="", help="serial, tag or words of the model")
        parser.add_argument("--unit", default="", help="serial, tag or words of the model")
        parser.add_argument("--frequency", help="only units that cover it, for example '3.6 Mc'")
        parser.add_argument("--on", help="state at the end of that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        kc = parse_frequency_kc(options["frequency"]) if options["frequency"] else None
        wanted = PairFilter(chassis=options["chassis"], unit=options["unit"], frequency_kc=kc)
        self.rows = pairing_table(parse_day(options["on"]) or timezone.localdate(), wanted)
        return [row.as_dict() for row in self.rows]

    def show(self, answer: Any) -> None:
        for row in self.rows:
            setting = f", setting {row.setting}" if row.setting else ""
            self.stdout.write(f"{row.chassis.name} with {row.unit.name}: {row.state}{setting}")
            for reason in row.reasons:
                self.stdout.write(f"    {reason.text}")
        self.stdout.write(f"{len(answer)} pairs")
