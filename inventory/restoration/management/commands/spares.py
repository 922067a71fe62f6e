"""``manage.py spares``: how many spares are enough for some hours, from a record, a rate, a mean, or lives."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput
from inventory.restoration.queries.spares import spares_asked
from inventory.restoration.rules.spares import AskedWrong, read_ages


class Command(AnswerCommand):
    help = "Failures ahead, how sure a stock is enough, and how many spares are wanted."
    requires_system_checks = []  # arithmetic alone, but for --type: no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--in-use", type=int, metavar="N", help="tubes in use at one time (1)")
        parser.add_argument("--failures", type=int, help="failures in the experience so far; with --unit-hours")
        parser.add_argument("--unit-hours", type=float, help="unit-hours of that experience")
        parser.add_argument("--prior-shape", type=float, help="failures held before that experience (0.5, Jeffreys)")
        parser.add_argument("--prior-hours", type=float, help="unit-hours in which they were (0)")
        parser.add_argument("--rate", type=float, help="failures an hour of one tube, at a constant rate")
        parser.add_argument("--mean-demand", type=float, help="mean number of failures in the time ahead")
        parser.add_argument("--eta", type=float, help="Weibull lives, where they wear out: scale in hours; with --beta")
        parser.add_argument("--beta", type=float, help="shape of those lives")
        parser.add_argument(
            "--age", dest="ages", action="append", default=[], metavar="HOURS",
            help="hours of a tube in use, or 'unknown'; once a tube, the rest are new; with --eta",
        )  # fmt: skip
        parser.add_argument("--type", metavar="NAME", help="a tube type: by the record, the sets and the shelf here")
        parser.add_argument("--hours", type=float, help="hours ahead")
        parser.add_argument("--assurance", type=float, default=0.95, help="how sure (0.95)")
        parser.add_argument("--stock", type=int, help="spares there are (0; with --type those on the shelf)")
        parser.add_argument("--needed", type=int, metavar="K", help="so many of those in use are enough (all)")

    def answer(self, **options: Any) -> Any:
        try:
            found, of_type = spares_asked({**options, "ages": read_ages(options["ages"])}, timezone.localdate())
            return (of_type or found).as_dict()
        except AskedWrong as refusal:
            raise BadInput(_told(refusal)) from refusal

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        tell(f"Failures expected: {answer['expected']:.4g} ({answer['method']})")
        total = 0.0
        for number, chance in enumerate(answer["distribution"]):
            total += chance
            tell(f"  {number:3} failures {chance:.6f}, at most so many {total:.6f}")
            if total > 1 - 1e-4:
                break
        tell(f"The stock is enough with a chance of {answer['assurance_with_stock']:.4f}.")
        tell(f"Spares wanted: {answer['spares_needed']}")
        tell(answer["text"])
        tell(f"{answer.get('why', '')} Source: {answer['source']}.".strip())


def _told(refusal: AskedWrong) -> str:
    """A refusal with the option it names."""
    if not refusal.field:
        return refusal.text
    return f"--{refusal.field.replace('_', '-')} {refusal.text}"
