"""``manage.py buying_order``: what to buy first for a plan, under a budget."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.buying import what_to_buy


class Command(AnswerCommand):
    help = "The spares that bring most assurance for a budget, those first that bring most for their price."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("name", metavar="NAME", help="a plan, or a set by tag or serial")
        parser.add_argument("--budget", required=True, metavar="'250 EUR'", help="an amount and its currency")
        parser.add_argument("--hours", type=float, help="filament hours ahead (those of the plan; 500)")
        parser.add_argument("--assurance", type=float, help="how sure the spares should be enough (of the plan; 0.95)")

    def answer(self, **options: Any) -> Any:
        on = timezone.localdate()
        found = readiness(options["name"], on, hours=options["hours"], assurance=options["assurance"])
        return what_to_buy(found, options["budget"]).as_dict()

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        for step in answer["steps"]:
            gain = f"{step['assurance_before']:.4f} -> {step['assurance_after']:.4f}"
            tell(f"{step['buy']:12} {step['price']:>10} {answer['currency']}  {gain}  ({step['price_from']})")
        tell(f"Left: {answer['left']} {answer['currency']}; assurance then {answer['assurance']:.4f}")
        if answer["no_price"]:
            tell(f"No price in {answer['currency']} is known of: {', '.join(answer['no_price'])}")
