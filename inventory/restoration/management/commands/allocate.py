"""``manage.py allocate``: which tube goes to which plan, all open plans at once."""

from typing import Any

from inventory.house.command import AnswerCommand
from inventory.restoration.queries.allocation import whole_assignment


class Command(AnswerCommand):
    help = "The best assignment of the stock to all open plans: most lines covered, urgent plans first, least cost."

    def answer(self, **options: Any) -> Any:
        return whole_assignment()

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        for one in answer["assigned"]:
            tell(f"{one['restoration']}, {one['set']} {one['position']}: {one['tag']} ({one['cost']:g} points)")
            for reason in one["reasons"]:
                tell(f"    {reason}")
        for one in answer["short"]:
            tell(f"SHORT {one['restoration']}, {one['set']} {one['position']}: {one['wanted']}")
        tell(f"{len(answer['assigned'])} given out, {len(answer['short'])} short, {answer['total_cost']:g} points")
