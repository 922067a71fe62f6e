"""``manage.py meter_delta``: hours between two readings of an elapsed-time meter."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.running.rules.meters import meter_delta


class Command(AnswerCommand):
    help = "Hours from one reading of an elapsed-time meter to the next, with roll-over. Leading zeros may be written."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("old", metavar="OLD", help="as the wheels stood, for example 09998.7")
        parser.add_argument("new", metavar="NEW")
        parser.add_argument("--digits", type=int, default=5, help="wheels for whole hours (5)")
        parser.add_argument("--decimals", type=int, default=1, help="wheels after the point (1)")

    def answer(self, **options: Any) -> Any:
        return meter_delta(options["old"], options["new"], options["digits"], options["decimals"]).as_dict()

    def show(self, answer: Any) -> None:
        self.stdout.write(f"{answer['hours']:g} h")
        for remark in answer["remarks"]:
            self.stdout.write(remark)
