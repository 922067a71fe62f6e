"""``manage.py family_sheet``: a type beside its kin, figure by figure."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.queries import knowledge
from tubes.queries.family import FamilySheet, family_sheet, kin_named
from tubes.wording.cautions import CHANGING_TUBES
from tubes.wording.family_sheet import shown


class Command(AnswerCommand):
    help = "Set a type beside its kin: figures with their grades, pins, and the judge's word on each in its place."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("type", help="the type: its name or any of its marks")
        parser.add_argument("--kin", action="append", help="only this of its kin; may be given again")
        parser.add_argument("--also", default="", help="other types to set beside it, parted by semicolons")
        parser.add_argument("--sheet", type=int, default=1, help="which sheet, where one has no room for all of them")

    def answer(self, **options: Any) -> Any:
        kin = None if options["kin"] is None else kin_named(options["type"], options["kin"], knowledge())
        self.sheet: FamilySheet = family_sheet(options["type"], kin, options["also"], options["sheet"])
        if self.sheet.refused:
            raise ValueError(" ".join(self.sheet.refused))
        if self.sheet.sheet != options["sheet"]:
            sheets = "there is one sheet" if self.sheet.sheets == 1 else f"there are sheets 1 to {self.sheet.sheets}"
            raise ValueError(f"Sheet {options['sheet']} is not there: {sheets} of {self.sheet.name}.")
        return self.sheet.as_dict()

    def show(self, answer: Any) -> None:
        told = shown(self.sheet)
        self.stdout.write(" | ".join(["", *(one.name for one in self.sheet.columns)]))
        for row in told.rows:
            cells = (" ".join(filter(None, (one.sign, one.text, one.by, one.grade.strip("-")))) for one in row.cells)
            self.stdout.write(" | ".join([row.label, *cells]))
        for one in told.reasons:
            if one.verdict:
                self.stdout.write(f"{one.name} for {self.sheet.name}: {one.verdict}. {' '.join(one.told)}")
            for caution in one.cautions:
                self.stdout.write(f"{one.name}: caution: {caution}")
        for text in (told.left_out, *told.legend, CHANGING_TUBES):
            if text:
                self.stdout.write(text)
