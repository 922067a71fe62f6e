"""``manage.py figures``: the collection in figures."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.figures.queries import USUAL, figures
from inventory.figures.wording.told import as_json, in_lines
from inventory.holdings.queries.register import place_named
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = (
        "The collection in figures: tubes by state, kind, decade, maker and place, types with few good ones, growth, "
        "tests, what was paid and what is insured."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--few", type=int, default=USUAL, metavar="N", help=f"types with fewer good ones than N ({USUAL})"
        )
        parser.add_argument("--within", metavar="TEXT", help="by place: inside this one, by its path, code or name")

    def answer(self, **options: Any) -> Any:
        asked = options["within"]
        if asked is not None and not asked.strip():
            raise BadInput("--within: name a place, or leave it out")
        within = place_named(asked) if asked else None
        return as_json(figures(timezone.localdate(), enough=options["few"], within=within))

    def show(self, answer: Any) -> None:
        self.stdout.write("\n".join(in_lines(answer)))
