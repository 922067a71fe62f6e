"""``manage.py estimate TYPE``: what a tube type or set model is worth, on the evidence in the house."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.valuation.management.options import add_value, money_options
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.wording.estimates import as_json


class Command(AnswerCommand):
    help = "An amount on named evidence, basis and day, with where eight in ten sales lie; no evidence, no amount."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("type", metavar="TYPE", help="the type or any of its numbers, or a set model")
        add_value(parser)

    def answer(self, **options: Any) -> Any:
        asked = {name: options[name] for name in ("grade", "basis", "real")}
        return as_json(estimate(options["type"], **asked, **money_options(options)))

    def show(self, answer: Any) -> None:
        self.stdout.write(answer["text"])
        for one in answer["evidence"]:
            words = ", ".join(word for word in (one["grade"], one["venue"]) if word)
            self.stdout.write(
                f"  {one['date']} {one['designation']}, {words}: {one['each']}; levelled {one['levelled']}"
            )
        for one in answer["left_out"]:
            self.stdout.write(f"  left out: {one['row']}: {one['reason']}")
