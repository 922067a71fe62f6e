"""``manage.py bench``: the bench report."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.frontpage.queries import bench_lines, bench_report
from inventory.house.command import AnswerCommand, parse_day


class Command(AnswerCommand):
    help = "What needs a hand today: pairs due, companions to settle, doubtful tubes in use, things without a place."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--on", help="pairing states at the end of that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        self.report = bench_report(parse_day(options["on"]) or timezone.localdate())
        return self.report.as_dict()

    def show(self, answer: Any) -> None:
        self.stdout.write("\n".join(bench_lines(self.report)))
