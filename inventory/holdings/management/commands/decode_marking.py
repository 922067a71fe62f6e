"""``manage.py decode_marking``: what is marked on a resistor, capacitor, crystal or wire, in all that it can mean."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.queries.markings import read_marking
from inventory.holdings.rules.markings import KINDS
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = (
        "Read colours, value codes, type designations, crystals and wire gauges; without --kind in every kind of"
        " marking, and all readings come back."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "text",
            help="as marked: 'yellow violet orange silver', 'BODY END DOT', six dots with the arrows pointing right"
            " (top row, then bottom row, left to right), 4K7, RC20BF103K, 'FT-241 channel 45', 'AWG 22'",
        )
        parser.add_argument("--kind", choices=KINDS, metavar="KIND", help=f"one of {', '.join(KINDS)}")

    def answer(self, **options: Any) -> Any:
        return read_marking(options["text"], options["kind"]).as_dict()

    def show(self, answer: Any) -> None:
        for one in answer["readings"]:
            value = "value not said" if one["value"] is None else f"{one['value']:.10g} {one['unit']}"
            told = [value]
            if one["tolerance_pct"] is not None:
                told.append(f"{one['tolerance_pct']:g} %")
            told += [one["rating"]] if one["rating"] else []
            self.stdout.write(f"{', '.join(told)}  ({', '.join(filter(None, (one['kind'], one['standard'])))})")
            self.stdout.write(f"  {one['note']}")
        for warning in answer["warnings"]:
            self.stdout.write(warning)
