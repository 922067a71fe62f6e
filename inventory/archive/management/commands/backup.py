"""``manage.py backup FILE``: the database and the photographs into one file, looked through after writing."""

import time
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from inventory.archive.actions.backup import backup
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = (
        "Write the database and the media store to one .zip while others go on working, and look it through. It holds "
        "accounts with their passwords in scrambled form: keep it as you keep the database."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def answer(self, **options: Any) -> Any:
        began = time.monotonic()
        answer = backup(options["file"])
        return answer | {"seconds": round(time.monotonic() - began, 1)}

    def show(self, answer: Any) -> None:
        for name in answer["passed_over"]:
            self.stderr.write(f"passed over, since its name cannot stand in a packed file: {name}")
        self.stdout.write(
            f"{answer['file']}: {answer['engine']}, {answer['media_files']} media files, {answer['bytes']} bytes, "
            f"looked through and good, {answer['seconds']} s"
        )
