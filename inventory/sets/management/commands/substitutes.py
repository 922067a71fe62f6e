"""``manage.py substitutes``: what fits instead of a type, or in one position of a set model, best first."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.sets.queries.substitutes import asked_for
from inventory.sets.wording import NOTHING_TO_JUDGE_BY, all_unsuitable
from tubes.management.options import add_conditions, conditions_from
from tubes.queries import find_type


class Command(AnswerCommand):
    help = "All types of the tables judged in the place of one, best first, good ones that are owned before others."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("type", nargs="?", help="the type wanted, or any of its numbers")
        parser.add_argument("--position", help="a position of a set model as MODEL:MARK, for example 'Skerry 40:V101'")
        add_conditions(parser)
        parser.add_argument("--unsuitable", action="store_true", help="tell in words of the unsuitable ones too")
        parser.add_argument("--limit", type=int, default=0, help="no more than so many candidates")

    def answer(self, **options: Any) -> Any:
        if not options["type"] and not options["position"]:
            raise BadInput("nothing to judge; name the type wanted, or a position with --position MODEL:MARK")
        if options["limit"] < 0:
            raise BadInput(f"--limit: {options['limit']}; expected 1 or more")
        wanted = find_type(options["type"]).name if options["type"] else ""
        wanted, found = asked_for(wanted, options["position"] or "", conditions_from(options))
        self.judged, self.every = len(found), options["unsuitable"]
        if options["limit"]:
            found = found[: options["limit"]]
        return {"wanted": wanted, "candidates": [one.as_dict() for one in found]}

    def show(self, answer: Any) -> None:
        self.stdout.write(f"In place of {answer['wanted']}:")
        told = [one for one in answer["candidates"] if self.every or one["verdict"] != "unsuitable" or one["words"]]
        if not self.judged:
            self.stdout.write(f"  {NOTHING_TO_JUDGE_BY}")
        elif not told:
            self.stdout.write(f"  {all_unsuitable(self.judged)} See them with --unsuitable.")
        for one in told:
            owned = f", {one['owned_good']} good on the shelf" if one["owned_good"] else ""
            owned += f" ({one['in_doubt_words']})" if one.get("in_doubt_words") else ""
            owned += ", type not settled" if one.get("type_not_settled") else ""
            served = one["sockets_served"]["fits"] + one["sockets_served"]["with care"]
            shared = f", could serve in {served} sockets of the sets here" if served else ""
            self.stdout.write(f"  {one['type']}: {one['verdict']}{owned}{shared}")
            for finding in one["findings"]:
                if finding["verdict"] != "fits":
                    self.stdout.write(f"    {finding['check']}, {finding['verdict']}: {finding['text']}")
            for text in one["consequences"]:
                self.stdout.write(f"    entails {text}")
            for word in one["words"]:
                self.stdout.write(f"    {word['verdict']} for this position, {word['on']}, {word['source']}")
