"""``manage.py bench``: the bench report."""

from typing import Any

from django.utils import timezone

from inventory.frontpage.queries import bench_report
from inventory.frontpage.wording.bench import bench_as_json, bench_lines
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = "What needs a hand today: pairs due, companions to settle, doubtful tubes in use, things without a place."

    def answer(self, **options: Any) -> Any:
        self.report = bench_report(timezone.localdate())
        return bench_as_json(self.report)

    def show(self, answer: Any) -> None:
        self.stdout.write("\n".join(bench_lines(self.report)))
