"""``manage.py buying_order``: what to buy first for a plan, under a budget."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.assured import parse_some
from inventory.restoration.queries.buying import what_to_buy


class Command(AnswerCommand):
    help = "The spares that bring most assurance for a budget, those first that bring most for their price."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("name", metavar="NAME", help="a plan, or a set by tag or serial")
        parser.add_argument("--budget", required=True, metavar="'250 EUR'", help="an amount and its currency")
        parser.add_argument("--hours", type=float, help="filament hours ahead (those of the plan; 500)")
        parser.add_argument("--assurance", type=float, help="how sure the spares should be enough (of the plan; 0.95)")
        parser.add_argument(
            "--enough", action="append", default=[], metavar="TYPE:K",
            help="of a type so many of those in use are enough, such as 6SN7GT:3; may be given again",
        )  # fmt: skip
        parser.add_argument(
            "--gaps-first",
            action="store_true",
            help="close empty positions first, the cheapest first",
        )

    def answer(self, **options: Any) -> Any:
        on, some = timezone.localdate(), parse_some(options["enough"])
        found = readiness(options["name"], on, options["hours"], options["assurance"], some)
        return what_to_buy(found, options["budget"], gaps_first=options["gaps_first"]).as_dict()

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        for gap in answer["gaps"]:
            tell(f"{gap['buy']:12} {gap['price']:>10} {answer['currency']}  closes a gap  ({gap['price_from']})")
        if answer["open_gaps"]:
            tell(f"Positions that stay open: {answer['open_gaps']}")
        for step in answer["steps"]:
            gain = f"{step['assurance_before']:.4f} -> {step['assurance_after']:.4f}"
            tell(f"{step['buy']:12} {step['price']:>10} {answer['currency']}  {gain}  ({step['price_from']})")
        tell(f"Left: {answer['left']} {answer['currency']}; assurance then {answer['assurance']:.4f}")
        tell(answer["text"])
        for top in answer["top_prices"]:
            tell(f"{top['type']:12} at most {top['top_price']} {top['currency']}: {top['text']}")
        if answer["no_price"]:
            tell(f"No price in {answer['currency']} is known of: {', '.join(answer['no_price'])}")
