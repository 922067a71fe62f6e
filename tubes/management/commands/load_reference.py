"""``manage.py load_reference``: the reference tables into the database."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.actions import LoadResult, load_reference, tables_in


class Command(AnswerCommand):
    help = "Load the reference tables (all or nothing; the keeper's own rows are never touched)."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--dir", type=Path, default=settings.REFERENCE_DIR, help="folder with the tables")
        parser.add_argument("--check", action="store_true", help="read and report, change nothing")

    def answer(self, **options: Any) -> Any:
        if options["check"]:
            tables = tables_in(options["dir"])
            counts = {name: {"in tables": len(rows)} for name, rows in tables.rows.items()}
            return LoadResult(tables.faults, counts).as_dict()
        return load_reference(options["dir"]).as_dict()

    def show(self, answer: Any) -> None:
        for fault in answer["faults"]:
            self.stderr.write(fault)
        for name, counts in answer["loaded"].items():
            self.stdout.write(f"{name}: " + ", ".join(f"{count} {word}" for word, count in counts.items()))
        if answer["faults"]:
            self.stderr.write(f"{len(answer['faults'])} faults; nothing was written.")

    def exit_code(self, answer: Any) -> int:
        return 2 if answer["faults"] else 0
