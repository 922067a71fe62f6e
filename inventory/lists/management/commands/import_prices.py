"""``manage.py import_prices FILE``: a list of sales and offers into the price evidence, or a trial run of it."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.actions.price_lists import read_prices, take_in_prices
from inventory.lists.wording.price_words import price_list_in_words
from inventory.valuation.rules.entry import COLUMNS


class Command(AnswerCommand):
    help = (
        f"Take a list of prices in (CSV, XLSX, ODS, XLS; columns {','.join(COLUMNS)}; amount is for all of quantity, "
        "before the buyer's premium): rows that are plain are written in one go, the others come back with the reason. "
        "What is there already stays out and is told. --trial first."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        order = parser.add_mutually_exclusive_group()
        order.add_argument("--day-first", action="store_const", const="day", dest="order", help="04/05/06 is 4 May")
        order.add_argument("--month-first", action="store_const", const="month", dest="order", help="... is 5 April")
        parser.add_argument("--sheet", default="", metavar="NAME", help="which sheet of a workbook with several")
        parser.add_argument("--trial", action="store_true", help="only say what would become of each row")
        parser.add_argument("--twice", action="store_true", help="write what is there already once more")

    def answer(self, **options: Any) -> Any:
        path, today = options["file"], timezone.localdate()
        asked = {"today": today, "order": options["order"], "sheet": options["sheet"], "twice": options["twice"]}
        try:
            with path.open("rb") as file:
                if options["trial"]:
                    found = read_prices(file, path.name, **asked)
                else:
                    found = take_in_prices(file, path.name, by=None, **asked)
        except OSError as fault:
            raise BadInput(f"{path}: {fault.strerror}") from fault
        for line in price_list_in_words(found, trial=options["trial"]):
            self.stderr.write(line)
        return found.as_dict()

    def show(self, answer: Any) -> None:
        for one in answer["refused"]:
            for fault in (one, *one.get("also", ())):
                self.stdout.write(f"line {one['line']}, {fault['column']}: {fault['found']!r}: {fault['reason']}")
        for one in answer.get("alike", ()):
            self.stdout.write(
                f"line {one['line']}: day, type, amount and source as {one['of']}; look whether it is another"
            )
        for one in answer.get("far_off", ()):
            self.stdout.write(f"line {one['line']}: {one['text']}")
        for one in answer.get("remarks", ()):
            self.stdout.write(f"line {one['line']}: {one['remark']}")
