"""``manage.py stand_ins "Skerry 40"``: what may stand in for parts of a set model, what changes, on whose word."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.sets.queries.stand_ins import stand_ins_asked


class Command(AnswerCommand):
    help = (
        "What does the work of parts that are not to be had: of a set model or one set by its tag, the keeper's own "
        "words and what is generally known of its tubes; without a name, all that is generally known."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", default="", help="a set model, or the tag of a set")

    def answer(self, **options: Any) -> Any:
        return stand_ins_asked(options["name"]).as_dict()

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        if answer["set_model"] and not answer["own"]:
            tell(f"{answer['set_model']}: no word of your own on any part.")
        for one in answer["own"]:
            differs = "; ANOTHER WORD HERE SAYS THE CONTRARY" if one["differs"] else ""
            tell(f"{one['part']}: {one['instead']}, {one['word']}{differs}")
            tell(f"    {one['source']}, {one['on']}")
            for text in (one["changes"], one["caution"] and f"caution: {one['caution']}"):
                if text:
                    tell(f"    {text}")
            if one["sits_in"]:
                tell(f"    sits in {', '.join(one['sits_in'])}")
        for one in answer["general"]:
            at = f"{', '.join(one['positions'])}, " if one["positions"] else ""
            tell(f"{at}{one['replaced']}: {one['instead']} ({one['source']})")
            for change in one["changes"]:
                tell(f"    {change['what']}: {change['words']}")
            if one["other_view"]:
                tell(f"    another view: {one['other_view']} ({one['other_source']})")
            tell(f"    caution: {one['caution']}")
