"""``manage.py allocate``: which tube, and how many of which lot, go to which plan, all open plans at once."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.restoration.queries.allocation import whole_assignment


class Command(AnswerCommand):
    help = "The best assignment of the stock to all open plans: most lines covered, urgent plans first, least cost."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--swap", nargs=2, metavar=("PLAN", "PLAN"), help="what would change if two plans had each other's priority"
        )

    def answer(self, **options: Any) -> Any:
        return whole_assignment(tuple(options["swap"]) if options["swap"] else None)

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        for one in answer["assigned"]:
            count = f"{one['quantity']} of " if one["quantity"] > 1 else ""
            tell(f"{one['restoration']}, {one['set']} {one['need']}: {count}{one['tag']} ({one['cost']:g} points)")
            for reason in one["reasons"]:
                tell(f"    {reason}")
        for one in answer["short"]:
            count = f"{one['quantity']} of " if one["quantity"] > 1 else ""
            tell(f"SHORT {one['restoration']}, {one['set']} {one['need']}: {count}{one['wanted']}")
        tell(f"{len(answer['assigned'])} given out, {len(answer['short'])} short, {answer['total_cost']:g} points")
        if swap := answer.get("swap"):
            tell(swap["text"])
            for one in swap["changes"]:
                now, then = one["now"] or "nothing", one["then"] or "nothing"
                tell(f"    {one['restoration']}, {one['set']} {one['need']}: {now} -> {then}")
