"""``manage.py export_collection FILE``: the whole collection into one archive that can be read without this program."""

import time
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from inventory.archive.actions.out import export_collection
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = (
        "Write the whole collection to one .zip: JSON lines of everything, the photographs and papers, and pages to "
        "read in a browser. No passwords are in it. An archive of that name is replaced once the new one is whole."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def answer(self, **options: Any) -> Any:
        began = time.monotonic()
        answer = export_collection(options["file"])
        return answer | {"seconds": round(time.monotonic() - began, 1)}

    def show(self, answer: Any) -> None:
        for name, count in answer["lines"].items():
            self.stdout.write(f"{count:8} {name}")
        self.stdout.write(f"{answer['files']:8} files of papers")
        for name in answer["missing_files"]:
            self.stderr.write(f"missing in the media store: {name}")
        self.stdout.write(f"{answer['file']}: {answer['bytes']} bytes, {answer['seconds']} s")
        self.stdout.write(f"content {answer['content_sha256']} (the same for the same collection)")
