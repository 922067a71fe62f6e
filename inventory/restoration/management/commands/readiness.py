"""``manage.py readiness``: can this restoration start, and if not, what is missing."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, parse_day
from inventory.restoration.queries.answer import Readiness, readiness
from inventory.restoration.queries.assured import parse_some


class Command(AnswerCommand):
    help = (
        "Every line of a plan, or of a set as if it were planned: covered, by what, short, and how sure for how long."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("name", metavar="NAME", help="a plan, or a set by tag or serial")
        parser.add_argument("--hours", type=float, help="filament hours ahead (those of the plan; 500)")
        parser.add_argument("--assurance", type=float, help="how sure the spares should be enough (of the plan; 0.95)")
        parser.add_argument(
            "--enough", action="append", default=[], metavar="TYPE:K",
            help="of a type so many of those in use are enough, such as 6SN7GT:3; may be given again",
        )  # fmt: skip
        parser.add_argument("--on", help="day by which pairs are due and hours count; all else is as it is now (today)")

    def answer(self, **options: Any) -> Any:
        on = parse_day(options["on"]) or timezone.localdate()
        some = parse_some(options["enough"])
        found = readiness(options["name"], on, options["hours"], options["assurance"], some)
        return found.as_dict() if options["json"] else found

    def show(self, answer: Readiness) -> None:
        tell = self.stdout.write
        tell(answer.headline)
        for caution in (*answer.warnings, *answer.cover.cautions):
            tell(f"CAUTION {caution}")
        tell(answer.cover.text)
        for line in answer.cover.lines:
            tell(f"{line.status:24} {line.need}{f' <- {line.by}' if line.by else ''}")
            for text in (*line.entails, *line.reasons):
                tell(f"    {text}")
            for other in line.instead:
                word = f", {other.verdict}" if other.verdict else ", nobody has said whether it serves in this model"
                contrary = "; another word says the contrary" if other.differs else ""
                tell(f"    in its place: {other.words}{word}{contrary} ({other.source}). {other.caution}".rstrip())
        for one in answer.power:
            if one.load or one.why_not:
                tell(f"{one.chassis}: {one.load.text if one.load else one.why_not}")
            for rail in one.rails:
                tell(f"{one.chassis} {rail.text}")
            for text in one.due:
                tell(f"{one.chassis}: neutralize afterwards with {text}")
        tell(answer.assured.text)
        for kind in answer.assured.types:
            tell(
                f"  {kind.called}: {kind.spares} spares, {kind.wanted} wanted, enough with {kind.percent} %; {kind.why}"
            )
