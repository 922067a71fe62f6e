"""``manage.py import_weak_parts FILE``: a list of weak parts of set models and the words on them, or a trial run."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.actions.weak_lists import read_weak_list, take_in_weak_list
from inventory.restoration.rules.weak_entry import COLUMNS


class Command(AnswerCommand):
    help = (
        f"Take a list of weak parts in (CSV, XLSX, ODS, XLS; columns {','.join(COLUMNS)}), as the list weak-parts is "
        "taken out: a row for each word on a part. What is there already stays out and is told. --trial first."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        order = parser.add_mutually_exclusive_group()
        order.add_argument("--day-first", action="store_const", const="day", dest="order", help="04/05/06 is 4 May")
        order.add_argument("--month-first", action="store_const", const="month", dest="order", help="... is 5 April")
        parser.add_argument("--sheet", default="", metavar="NAME", help="which sheet of a workbook with several")
        parser.add_argument("--trial", action="store_true", help="only say what would become of each row")

    def answer(self, **options: Any) -> Any:
        path = options["file"]
        asked = {"today": timezone.localdate(), "order": options["order"], "sheet": options["sheet"]}
        try:
            with path.open("rb") as file:
                if options["trial"]:
                    return read_weak_list(file, path.name, **asked).as_dict()
                return take_in_weak_list(file, path.name, by=None, **asked).as_dict()
        except OSError as fault:
            raise BadInput(f"{path}: {fault.strerror}") from fault

    def show(self, answer: Any) -> None:
        tell = self.stdout.write
        tell(
            f"{answer['rows']} rows, {answer['taken']} can be taken; {answer['parts_written']} parts and "
            f"{answer['words_written']} words written."
        )
        for one in answer["remarks"]:
            tell(f"line {one['line']}: {one['remark']}")
        for one in answer["refused"]:
            tell(f"line {one['line']}, {one['column']}: {one['found']!r}: {one['reason']}")
