"""``manage.py top_price TYPE``: what one may cost at most, by the estimate and by the gap that it closes."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput
from inventory.house.currencies import currency_refused
from inventory.valuation.queries.going import going
from tubes.queries import knowledge, type_named


class Command(AnswerCommand):
    help = "What one may cost at most, with its reasons; the fair range and the last sales. No evidence, no figure."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("type", metavar="TYPE", help="the type or any of its numbers")
        parser.add_argument("--currency", default="", help="ISO 4217 code (that of most prices of the keeper's own)")

    def answer(self, **options: Any) -> Any:
        name, currency = type_named(options["type"], knowledge()), options["currency"].strip().upper()
        if currency and (refused := currency_refused(currency)):
            raise BadInput(f"--currency: {refused}")
        return going([name], timezone.localdate(), currency=currency)[name].as_dict()

    def show(self, answer: Any) -> None:
        most = f"at most {answer['top_price']} {answer['currency']}: " if answer["top_price"] else ""
        self.stdout.write(f"{answer['type']}: {most}{answer['text']}.")
        for one in answer["fair"]:
            self.stdout.write(f"  fair, {one['grade']}: {one['low']} to {one['high']} {answer['currency']}")
        for one in answer["last"]:
            told = ", ".join(filter(None, (one["venue"], one["grade"])))
            self.stdout.write(f"  {one['date']}: {one['price']} {answer['currency']}{f', {told}' if told else ''}")
