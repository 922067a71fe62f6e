"""``manage.py judge``: may this tube stand in for that one?"""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.management.options import add_conditions, conditions_from
from tubes.queries import knowledge, type_or_form_named
from tubes.queries.judging import court
from tubes.rules.sources import in_titles
from tubes.wording.cautions import CHANGING_TUBES


class Command(AnswerCommand):
    help = "Judge a tube in the place of another, with the numbers, limits and sources of every check."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("wanted", help="the type that the place was made for: its name or any of its marks")
        parser.add_argument("candidate", help="the tube that is to stand in")
        add_conditions(parser)

    def answer(self, **options: Any) -> Any:
        bench = court()
        wanted, candidate = (type_or_form_named(options[name], bench.known) for name in ("wanted", "candidate"))
        return bench.judge(wanted, candidate, conditions_from(options)).as_dict()

    def show(self, answer: Any) -> None:
        assumed = "".join(f". {one['text']}" for one in answer["findings"] if one["check"] == "name")
        self.stdout.write(f"{answer['candidate']} for {answer['wanted']}: {answer['verdict']}{assumed}")
        titles = knowledge().titles
        for finding in answer["findings"]:
            self.stdout.write(f"  {finding['verdict']:17} {finding['text']}")
            if finding["source"]:
                self.stdout.write(f"  {'':17} [{in_titles(finding['source'], titles)}]")
        for consequence in answer["consequences"]:
            self.stdout.write(f"  then: {consequence}")
        self.stdout.write(CHANGING_TUBES)
