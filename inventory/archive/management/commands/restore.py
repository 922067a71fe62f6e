"""``manage.py restore FILE``: a backup in the place of this database."""

import time
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from inventory.archive.actions.backup import restore
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = (
        "Put a backup in the place of this database, all of it or nothing. Refused where the database holds something, "
        "unless --over. Stop the server first; afterwards the database is brought up to date."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--over", action="store_true", help="replace what the database holds; it is lost")

    def answer(self, **options: Any) -> Any:
        began = time.monotonic()
        answer = restore(options["file"], over=options["over"])
        return answer | {"seconds": round(time.monotonic() - began, 1)}

    def show(self, answer: Any) -> None:
        self.stdout.write(
            f"Restored: {answer['engine']}, as of {answer['made_at']}, {answer['media_files']} media files, "
            f"{answer['seconds']} s"
        )
