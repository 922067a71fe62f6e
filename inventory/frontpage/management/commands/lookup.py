"""``manage.py lookup``: what a text on a tube means, what is owned of it and where."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.frontpage.queries import look_up, untyped_bearing
from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.queries.uncounted import Uncounted, uncounted_marked


class Command(AnswerCommand):
    help = "Find a tube by any of its numbers: equivalents, relatives, how many are good, where, and who needs it."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("text", help="a type number or a stamp")

    def answer(self, **options: Any) -> Any:
        found = look_up(options["text"])
        if found.stamp.refused and not found.matches:
            raise BadInput(f"{options['text']}: {found.stamp.refused}")
        self.like, self.untyped = found.like, untyped_bearing(options["text"])
        self.uncounted = uncounted_marked(options["text"])
        return found.as_dict()

    def show(self, answer: Any) -> None:
        if not answer["matches"]:
            here = self.untyped or self.uncounted
            self.stdout.write(f"{answer['query']}: not in the tables{'' if here else ' and not in the collection'}")
            if self.like:
                self.stdout.write(f"  begins alike: {', '.join(self.like)}")
        for row in self.uncounted:
            self.stdout.write(f"  on a list, type not settled: {row.mark}, {row.told}")
        for tube in self.untyped:
            place = tube.item.place or "no place"
            self.stdout.write(f"  here, type not settled: {tube.tag} marked {tube.marked}, {tube.state}, {place}")
        for match in answer["matches"]:
            owned = match["owned"]
            self.stdout.write(
                f"{match['type']}: {owned['good']} good, {owned['untested']} untested, {owned['weak']} weak, "
                f"{owned['dud']} dud, {owned['fitted']} fitted"
            )
            if missed := match.get("not_found"):
                self.stdout.write(f"  {missed} not found at a stock-take")
            for one in match.get("uncounted", ()):
                self.stdout.write(f"  {Uncounted(**one).told}")
            for place in match["places"]:
                self.stdout.write(f"  in {place['place']}: {place['good']} good, {place['untested']} untested")
            for mark in match["designations"]:
                note = f" ({mark['note']})" if mark["note"] else ""
                line = f"  {mark['scheme']} {mark['designation']}: {mark['relation']}{note} [{mark['source']}]"
                self.stdout.write(line)
            for relative in match["relatives"]:
                note = f" ({relative['note']})" if relative["note"] else ""
                self.stdout.write(f"  related: {relative['type']}: {relative['relation']}{note}")
            for position in match["positions"]:
                self.stdout.write(f"  wanted in {position['set_model']} {position['position']}")
