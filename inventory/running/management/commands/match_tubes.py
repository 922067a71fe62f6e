"""``manage.py match_tubes``: pairs and larger sets of tubes of a type by their readings on one instrument."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput, parse_day
from inventory.running.models import Instrument
from inventory.running.queries import match_tubes
from tubes.forms import find_type


class Command(AnswerCommand):
    help = "Most sets within the tolerance, then least mismatch; readings of one instrument only."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("type", metavar="TYPE", help="the type or any of its numbers")
        parser.add_argument("--instrument", required=True, metavar="NAME")
        parser.add_argument("--size", type=int, default=2, help="tubes in a set (2)")
        parser.add_argument("--tolerance", type=float, help="percent; the limit match.tolerance_pct if not given")
        parser.add_argument("--first", default="", metavar="READING", help="reading, reduced, or a section")
        parser.add_argument("--second", default="", metavar="READING", help="another one besides")
        parser.add_argument("--days", type=int, help="only readings of the last so many days")
        parser.add_argument("--shelf", action="store_true", help="only tubes that are in no set")
        parser.add_argument("--doubted", action="store_true", help="also those with gas, leakage, or below the limit")
        parser.add_argument("--on", help="as of that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        if options["days"] is not None and not 1 <= options["days"] <= 36500:
            raise BadInput(f"--days: {options['days']}; expected 1 to 36500")
        found = match_tubes(
            find_type(options["type"]),
            find_instrument(options["instrument"]),
            parse_day(options["on"]) or timezone.localdate(),
            size=options["size"],
            tolerance=options["tolerance"],
            days=options["days"],
            first=options["first"],
            second=options["second"],
            shelf_only=options["shelf"],
            with_doubted=options["doubted"],
        )
        for tag, why in found.left_out:
            self.stderr.write(f"{tag} takes no part: {why}")
        return found.as_dict()

    def show(self, answer: Any) -> None:
        for one in answer["sets"]:
            both = ", ".join(f"{tag} {reading}" for tag, reading in zip(one["tags"], one["readings"], strict=True))
            self.stdout.write(f"{one['mismatch_pct']:.1f} %: {both}")
            for tag in one["tags"]:
                if gas := answer.get("gas", {}).get(tag):
                    self.stdout.write(f"  {tag}, {gas}")
        self.stdout.write(f"Left: {', '.join(answer['left']) or 'none'}")
        self.stdout.write(answer["text"])
        for note in answer.get("notes", []):
            self.stdout.write(note)


def find_instrument(name: str) -> Instrument:
    """The instrument of that name. Raises BadInput naming those there are."""
    found = Instrument.objects.filter(name__iexact=name.strip()).first()
    if found is None:
        there = ", ".join(Instrument.objects.values_list("name", flat=True)[:12]) or "none yet"
        raise BadInput(f"no instrument is called {name!r}; there are: {there}")
    return found
