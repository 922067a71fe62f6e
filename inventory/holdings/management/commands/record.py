"""``manage.py record TAG``: how a thing came, whose it is, how it was found, where it is lent, how it left."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.queries.record import record_of
from inventory.holdings.queries.register import tag_of
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = "The record of one thing: acquisition, owner, condition by day, loans, disposal."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("tag", help="tag of the thing, also of one that has left")

    def answer(self, **options: Any) -> Any:
        item = tag_of(options["tag"])
        if item is None:
            raise BadInput(f"there is no thing {options['tag']!r} in the register")
        return record_of(item).as_dict()

    def show(self, answer: Any) -> None:
        self.stdout.write(f"{answer['tag']} {answer['what']}")
        came = [f"{name} {text}" for name, text in answer["acquisition"].items() if text]
        self.stdout.write(f"  came: {'; '.join(came) or 'not said'}")
        owner = answer["owner"]
        self.stdout.write("  ours" if owner["ours"] else f"  NOT OURS: {owner['who']}, due {owner['due'] or 'no day'}")
        for one in answer["condition"]:
            lacking = (
                f" ({one['complete']}{': ' + one['lacking'] if one['lacking'] else ''})" if one["complete"] else ""
            )
            self.stdout.write(f"  {one['on']} {one['by'] or 'nobody named'}: {one['state']}{lacking}")
        if answer["condition_undated"]:
            self.stdout.write(f"  no day: {answer['condition_undated']}")
        if answer["look_again"]:
            self.stdout.write(f"  look again on {answer['look_again']}")
        for one in answer["loans"]:
            way = "lent to" if one["way"] == "out" else "on loan from"
            self.stdout.write(f"  {way} {one['who']} since {one['since']}, due {one['due'] or 'no day'}")
        if left := answer["disposal"]:
            told = [f"{name} {text}" for name, text in left.items() if text]
            self.stdout.write(f"  left: {'; '.join(told)}")
