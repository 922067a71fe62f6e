"""``manage.py reference_gaps``: types that are owned or wanted here and lack figures."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.frontpage.queries.gaps import reference_gaps
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = "Rank the types owned or wanted here that lack figures, by positions and tubes, with what is lacking."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--all", action="store_true", help="every type in the tables, also what nobody owns")

    def answer(self, **options: Any) -> Any:
        return [gap.as_dict() for gap in reference_gaps(every=options["all"])]

    def show(self, answer: Any) -> None:
        for one in answer:
            here = f"{one['positions']} positions, {one['owned']} owned, {one['wanted']} wanted"
            self.stdout.write(f"{one['type']}: {here}; lacking {one['words']}")
        if not answer:
            self.stdout.write("No type that is owned or wanted here lacks a figure.")
