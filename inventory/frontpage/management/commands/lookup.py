"""``manage.py lookup``: what a text on a tube means, what is owned of it and where."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.frontpage.queries import look_up, search_all, tag_not_here, untyped_bearing
from inventory.frontpage.wording.look_up import look_up_as_json, look_up_lines
from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.queries.uncounted import uncounted_marked


class Command(AnswerCommand):
    help = (
        "Find a tube by any of its numbers: equivalents, relatives, how many are good, where, and who needs it. Finds "
        "anything else by its tag, serial, own number or name."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("text", help="a type number, a family number such as 6SN7, or a stamp")

    def answer(self, **options: Any) -> Any:
        self.found, self.others = look_up(options["text"]), search_all(options["text"])
        if self.found.stamp.refused and not (self.found.matches or self.others):
            raise BadInput(f"{options['text']}: {self.found.stamp.refused}")
        return look_up_as_json(self.found, self.others)

    def show(self, answer: Any) -> None:
        text = self.found.query
        bearing = untyped_bearing(text), uncounted_marked(text)
        no_tag = "" if self.found.told or self.others or any(bearing) else tag_not_here(text)
        if no_tag:
            self.stdout.write(f"{text}: no thing here bears the tag {no_tag}")
            return
        self.stdout.write("\n".join(look_up_lines(self.found, self.others, *bearing)))
