"""``manage.py spares``: how many spares are enough for some hours, from a record, a rate or a mean."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.restoration.rules.demand import Demand, at_mean, at_rate, check_assurance, from_record


class Command(AnswerCommand):
    help = "Failures ahead, how sure a stock is enough, and how many spares are wanted."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--in-use", type=int, default=1, metavar="N", help="tubes in use at one time (1)")
        parser.add_argument("--failures", type=int, help="failures in the experience so far; with --unit-hours")
        parser.add_argument("--unit-hours", type=float, help="unit-hours of that experience")
        parser.add_argument("--rate", type=float, help="failures an hour of one tube, at a constant rate")
        parser.add_argument("--mean-demand", type=float, help="mean number of failures in the time ahead")
        parser.add_argument("--hours", type=float, help="hours ahead")
        parser.add_argument("--assurance", type=float, default=0.95, help="how sure (0.95)")
        parser.add_argument("--stock", type=int, default=0, help="spares there are (0)")

    def answer(self, **options: Any) -> Any:
        check_assurance(options["assurance"])
        if options["stock"] < 0:
            raise BadInput(f"--stock: {options['stock']}; expected 0 or more")
        demand = _demand(options)
        needed = demand.spares_for(options["assurance"])
        return {
            "expected": demand.expected,
            "distribution": list(demand.chances(max(needed, options["stock"]) + 1)),
            "assurance_with_stock": demand.at_most(options["stock"]),
            "spares_needed": needed,
            "method": demand.method,
        }

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        tell(f"Failures expected: {answer['expected']:.4g} ({answer['method']})")
        total = 0.0
        for number, chance in enumerate(answer["distribution"]):
            total += chance
            tell(f"  {number:3} failures {chance:.6f}, at most so many {total:.6f}")
            if total > 1 - 1e-4:
                break
        tell(f"The stock is enough with a chance of {answer['assurance_with_stock']:.4f}.")
        tell(f"Spares wanted: {answer['spares_needed']}")


def _demand(options: dict[str, Any]) -> Demand:
    """Failures ahead by the one way that was given. Raises BadInput where it is none, or more than one."""
    ways = [name for name in ("failures", "rate", "mean_demand") if options[name] is not None]
    if len(ways) != 1:
        found = " and ".join(f"--{name.replace('_', '-')}" for name in ways) or "none of them"
        raise BadInput(f"{found} given; give one of --failures (with --unit-hours), --rate, --mean-demand")
    if options["in_use"] < 0:
        raise BadInput(f"--in-use: {options['in_use']}; expected 0 or more")
    if ways == ["mean_demand"]:
        if options["unit_hours"] is not None:
            raise BadInput("--unit-hours goes with --failures")
        return at_mean(options["mean_demand"])
    if options["hours"] is None:
        raise BadInput("--hours is missing: how many hours ahead?")
    if ways == ["rate"]:
        if options["unit_hours"] is not None:
            raise BadInput("--unit-hours goes with --failures")
        return at_rate(options["rate"], options["in_use"], options["hours"])
    if options["unit_hours"] is None:
        raise BadInput("--unit-hours is missing: in how many unit-hours did they fail?")
    return from_record(options["failures"], options["unit_hours"], options["in_use"], options["hours"])
