"""``manage.py bench``: the bench report."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.frontpage.queries import SHOWN, bench_report
from inventory.frontpage.wording.bench import bench_as_json, bench_lines
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = "What needs a hand today: pairs due, companions to settle, doubtful tubes in use, things without a place."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--all", action="store_true", help=f"every row, not only the first {SHOWN} of each kind")

    def answer(self, **options: Any) -> Any:
        self.report = bench_report(timezone.localdate(), None if options["all"] else SHOWN)
        return bench_as_json(self.report)

    def show(self, answer: Any) -> None:
        self.stdout.write("\n".join(bench_lines(self.report)))
