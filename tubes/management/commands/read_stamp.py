"""``manage.py read_stamp``: what the marks on a tube or carton can mean."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.queries import knowledge


class Command(AnswerCommand):
    help = "Read what is stamped on a tube or carton into all its possible readings."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("text", nargs="+", help="a stamp, in quotes when it has spaces")

    def answer(self, **options: Any) -> Any:
        known = knowledge()
        return [known.read(text).as_dict() for text in options["text"]]

    def show(self, answer: Any) -> None:
        for one in answer:
            self.stdout.write(one["stamp"])
            if one["refused"]:
                self.stdout.write(f"  not read: {one['refused']}")
            for r in one["readings"]:
                maker = f" by {r['maker'] or r['maker_code']}" if r["maker_code"] else ""
                means = f"{r['relation']} {r['type']}" if r["type"] else "not in the tables"
                note = f" ({r['note']})" if r["note"] else ""
                self.stdout.write(f"  {r['scheme']} {r['designation']}{maker}: {means}{note}")
            if one["ambiguous"]:
                self.stdout.write(
                    "  More than one meaning: look at base, envelope and service marks before you choose."
                )
            if one["leftover"]:
                self.stdout.write(f"  left over: {one['leftover']}")
