"""``manage.py location_stats``: median, Hodges-Lehmann and the other statistics of a handful of numbers."""

from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.valuation.rules.location import hodges_lehmann_shift, location


class Command(AnswerCommand):
    help = "Location and scatter of the numbers; the interval for the median from five on. Weights in their order."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("numbers", type=float, nargs="+", metavar="NUMBER")
        parser.add_argument("--weights", type=float, nargs="+", metavar="W", help="one for each number; else equal")
        parser.add_argument("--beside", type=float, nargs="+", metavar="NUMBER", help="how far above these they lie")

    def answer(self, **options: Any) -> Any:
        answer = asdict(location(options["numbers"], options["weights"]))
        if options["beside"]:
            answer["shift"] = hodges_lehmann_shift(options["numbers"], options["beside"])
        return answer

    def show(self, answer: Any) -> None:
        lines = [
            ("median", answer["median"]),
            ("mean", answer["mean"]),
            ("Hodges-Lehmann", answer["hodges_lehmann"]),
            ("geometric mean", answer["geometric_mean"]),
            ("weighted median", answer["weighted_median"]),
            ("median absolute deviation", answer["mad"]),
            ("the same as a standard deviation", answer["mad_scaled"]),
        ]
        for name, figure in lines:
            if figure is not None:
                self.stdout.write(f"{name} {figure:g}")
        if answer["interval"]:
            low, high = answer["interval"]
            self.stdout.write(f"median between {low:g} and {high:g}, {100 * answer['coverage']:.2f} % sure")
        if "shift" in answer:
            self.stdout.write(f"above the others by {answer['shift']:g} (Hodges-Lehmann)")
        for remark in answer["remarks"]:
            self.stdout.write(remark)
