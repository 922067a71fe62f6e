"""``manage.py update_list FILE``: a list that was taken out here and edited comes back."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.actions.bring_back import update_list


class Command(AnswerCommand):
    help = (
        "Bring a list back that was taken out here (tubes, parts, chassis, units, companions; CSV, XLSX, ODS) and "
        "edited: what was changed in it is written, what was changed here meanwhile is held, a missing row is no "
        "deletion. --trial first."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--sheet", default="", metavar="NAME", help="which sheet of a workbook with several")
        parser.add_argument("--why", default="", help="why, as the history says it; some moves are not made without")
        parser.add_argument("--trial", action="store_true", help="only say what would be changed")

    def answer(self, **options: Any) -> Any:
        if not options["file"].is_file():
            raise BadInput(f"{options['file']} is no file")
        try:
            found = update_list(
                options["file"], name=options["file"].name, by=None, today=timezone.localdate(),
                trial=options["trial"], why=options["why"], sheet=options["sheet"],
            )  # fmt: skip
        except OSError as fault:
            raise BadInput(f"{fault.filename}: {fault.strerror}") from fault
        for note in found.notes:
            self.stderr.write(note)
        if found.run:
            self.stderr.write(f"This is list {found.run.pk}; to take it back: manage.py undo_import {found.run.pk}")
        return found.as_dict() | {"trial": options["trial"]}

    def show(self, answer: Any) -> None:
        for one in answer["changed"]:
            self.stdout.write(f"{one['tag']}, {one['column']}: {one['old'] or 'empty'} -> {one['new'] or 'empty'}")
        for one in answer["besides"]:
            old, new = one["old"] or "empty", one["new"] or "empty"
            self.stdout.write(f"{one['tag']}, {one['column']}: {old} -> {new}, which follows")
        for name, words in (("conflicts", "held"), ("held", "held"), ("read_only", "not changed from a list")):
            for one in answer[name]:
                where = f"row {one['row']}" if not one["tag"] else one["tag"]
                old, new = one["old"] or "empty", one["new"] or "empty"
                told = f"{old} here, {new} in the list: " if one["new"] or one["old"] else ""
                self.stdout.write(f"{words}: {where}, {one['column']}: {told}{one['reason']}")
        done = "would be changed" if answer["trial"] else "changed"
        self.stdout.write(
            f"{len(answer['changed'])} cells {done}, {answer['new']} new rows, {answer['untouched']} rows untouched, "
            f"{len(answer['conflicts']) + len(answer['held'])} held."
        )
        if answer["trial"]:
            self.stdout.write("A trial run: nothing was written.")
