"""``manage.py find_part "0.01 mfd 400 V bypass"``: what of the stock can replace a part."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.queries.replacement import MOST_NAMED, find_part
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = (
        "Lots that may replace a part, alone or two and three put together, by its value, ratings and place in "
        "the circuit; and of every other lot of the kind why not."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("part", metavar="TEXT", help="such as '0.01 mfd 400 V bypass' or '270 K 1 W 10 %%'")
        parser.add_argument("--most", type=int, default=MOST_NAMED, help=f"name so many of each ({MOST_NAMED})")

    def answer(self, **options: Any) -> Any:
        if options["most"] < 1:
            raise BadInput("--most: expected a whole number of 1 or more")
        return find_part(options["part"], options["most"]).as_dict()

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        tell(f"Asked: {answer['wanted']['read_as']}")
        for remark in (*answer["wanted"]["remarks"], *answer["cautions"]):
            tell(f"  {remark}")
        for one in answer["single"]:
            where = f"{one['free']} free, {one['place'] or 'no place'}"
            tell(f"{one['lot']}  {one['what']}, {where}: {'; '.join(one['why'])}")
            for caution in one["cautions"]:
                tell(f"    {caution}")
        for one in answer["combinations"]:
            lots = "; ".join(part["lot"] for part in one["parts"])
            tell(f"{one['text']} ({lots}): {one['error_pct']:+.3g} %")
        for caution in dict.fromkeys(word for one in answer["combinations"] for word in one["cautions"]):
            tell(f"    {caution}")
        if not answer["single"] and not answer["combinations"]:
            tell("Nothing in stock serves.")
        for one in answer["own_stand_ins"]:
            differs = "; ANOTHER WORD HERE SAYS THE CONTRARY" if one["differs"] else ""
            tell(f"In {one['set_model']}, {one['part']}: {one['instead']}, {one['word']}{differs} ({one['source']})")
            if one["caution"]:
                tell(f"    caution: {one['caution']}")
        for one in answer["stand_ins"]:
            tell(f"In its place: {one['instead']} ({one['source']})")
            for change in one["changes"]:
                tell(f"    {change['what']}: {change['words']}")
            if one["other_view"]:
                tell(f"    another view: {one['other_view']} ({one['other_source']})")
            tell(f"    {one['caution']}")
        for one in answer["why_not"]:
            tell(f"not {one['lot'] or 'looked at:'}  {one['what']}: {'; '.join(one['why'])}")
        for key, word in (
            ("more_single", "that serve"),
            ("more", "combinations"),
            ("more_why_not", "that do not serve"),
            ("more_own_stand_ins", "of your own words on such parts"),
        ):
            if answer[key]:
                tell(f"And {answer[key]} more {word}.")
