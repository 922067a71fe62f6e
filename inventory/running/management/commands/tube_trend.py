"""``manage.py tube_trend``: how the readings of a tube go, and when they reach the minimum."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput, parse_day
from inventory.running.management.commands.match_tubes import find_instrument
from inventory.running.management.commands.tube_hours import tagged
from inventory.running.queries import trend_line


class Command(AnswerCommand):
    help = "Trend of a tube on one instrument: that with most readings, if none is named."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("tag", metavar="TAG")
        parser.add_argument("--instrument", help="its name")
        parser.add_argument("--section", help="of a double tube: 1, 2, triode, pentode")
        parser.add_argument("--on", help="with the tests up to that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        (tube,) = tagged([options["tag"]])
        instrument = find_instrument(options["instrument"]) if options["instrument"] else None
        on = parse_day(options["on"]) or timezone.localdate()
        found = trend_line(tube, on, instrument, options["section"])
        if found is None:
            raise BadInput(f"{tube.tag} has no reading{f' on {instrument}' if instrument else ''} to see a trend in")
        return found.as_dict()

    def show(self, answer: Any) -> None:
        readings = f"{answer['points']} reading{'s' * (answer['points'] != 1)}"
        self.stdout.write(f"{answer['tag']} on {answer['instrument']}, {readings}")
        self.stdout.write(answer["text"])
        if point := answer["handbook_test_point"]:
            self.stdout.write(point["text"])
