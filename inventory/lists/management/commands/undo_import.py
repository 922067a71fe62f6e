"""``manage.py undo_import ID``: a list that was taken in leaves the register again."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from inventory.lists.wording.sentences import undone_in_words


class Command(AnswerCommand):
    help = (
        "Undo the import of a list in one step: what it made leaves the register, but for things to which something "
        "happened since; of a list that came back, what it changed is as before, where nobody changed that since."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("id", type=int, metavar="ID", help="number of the list, as import_list said")

    def answer(self, **options: Any) -> Any:
        run = ImportRun.objects.filter(pk=options["id"]).first() if options["id"] < 2**63 else None
        if run is None:
            raise BadInput(f"there is no list {options['id']}")
        return undo(run, by=None)

    def show(self, answer: Any) -> None:
        gone = undone_in_words(answer["undone"])
        but = " but for what stays" if answer.get("stays") else ""
        told = f"List {answer['id']} ({answer['file']}) undone{but}: {gone}. Its tags are not given again."
        self.stdout.write(told)
        if "cells" in answer:
            self.stdout.write(f"{answer['cells']} changes taken back.")
        for words in answer.get("stays", ()):
            self.stdout.write(f"stays as it is: {words}")
        for name in answer["left"]:
            self.stdout.write(f"left, since it is in use: {name}")
