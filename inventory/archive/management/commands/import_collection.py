"""``manage.py import_collection FILE``: an archive into a database that holds nothing yet."""

import time
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from inventory.archive.actions.take_in import import_collection
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = (
        "Take an archive of export_collection into an empty database, all of it or nothing. The reference tables are "
        "loaded if they are not there. People come with their role and without a password: changepassword NAME."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def answer(self, **options: Any) -> Any:
        began = time.monotonic()
        answer = import_collection(options["file"])
        return answer | {"seconds": round(time.monotonic() - began, 1)}

    def show(self, answer: Any) -> None:
        for name, count in answer["lines"].items():
            self.stdout.write(f"{count:8} {name}")
        self.stdout.write(f"{answer['files']:8} files of papers")
        for name in answer["missing_files"]:
            self.stderr.write(f"was missing already when the archive was made: {name}")
        self.stdout.write(f"{answer['seconds']} s")
