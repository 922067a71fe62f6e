"""``manage.py tube_hours``: filament hours and starts of tubes, and where they ran them."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.holdings.models import Tube
from inventory.house.command import AnswerCommand, BadInput, parse_day
from inventory.running.queries import tube_hours
from inventory.sets.queries import owned_tubes


class Command(AnswerCommand):
    help = "Filament hours and starts of these tubes, or of every tube here."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("tags", nargs="*", metavar="TAG", help="tags; none: every tube here")
        parser.add_argument("--on", help="up to the end of that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        tubes = tagged(options["tags"]) if options["tags"] else list(owned_tubes())
        return [one.as_dict() for one in tube_hours(tubes, parse_day(options["on"]) or timezone.localdate())]

    def show(self, answer: Any) -> None:
        for row in answer:
            known = "since it came" if row["known"] == "unknown" else f"in all, {row['known']}"
            starts = f"{row['starts']} start{'s' * (row['starts'] != 1)}"
            self.stdout.write(f"{row['tag']} {row['type'] or ''}: {row['hours']:.1f} h {known}, {starts}")
            for f in row["fittings"]:
                chassis = f"{f['chassis']['model']} {f['chassis']['serial'] or ''}".strip()
                self.stdout.write(
                    f"    {chassis} {f['position']}, {f['from']} to {f['to'] or 'today'}: {f['hours']:.1f} h"
                )
            for text in row["remarks"]:
                self.stdout.write(f"    {text}")


def tagged(tags: list[str]) -> list[Tube]:
    """The tubes with these tags, in that order, also those that have left. Raises BadInput for a tag without a tube."""
    wanted = [tag.strip().upper() for tag in tags]
    found = {tube.tag: tube for tube in Tube.objects.filter(item__tag__in=wanted).select_related("type", "item")}
    if missing := [tag for tag in wanted if tag not in found]:
        raise BadInput(f"no tube has the tag {', '.join(missing)}")
    return [found[tag] for tag in wanted]
