"""``manage.py demo``: an invented museum to look at, in a database of its own."""

import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandParser
from django.db import connection
from django.utils import timezone

from inventory.demo.actions.scenario import DEMO, OTHER, open_demo, what_is_here
from inventory.frontpage.queries import bench_report
from inventory.frontpage.wording.bench import bench_as_json, bench_lines
from inventory.house.command import AnswerCommand, BadInput
from inventory.house.serve import serve_pages
from inventory.house.tables import bring_up_to_date
from tubes.actions import load_reference


def own_file() -> Path:
    """The demo's file: never the keeper's."""
    return Path(settings.DATA_DIR) / "demo.sqlite3"


class Command(AnswerCommand):
    help = (
        "Show an invented museum: loads it into a file of its own (or, with DATABASE_URL set, into that database if it "
        "is empty or an earlier demo), prints the bench report and a log-in for each role, and serves it."
    )

    def run_from_argv(self, argv: list[str]) -> None:
        """Started from a shell without DATABASE_URL: on the demo's file, before any connection is made."""
        if not os.environ.get("DATABASE_URL"):
            connection.settings_dict["NAME"] = str(own_file().resolve())  # the settings' own row: threads find it too
        super().run_from_argv(argv)

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="rebuild the demo from nothing")
        parser.add_argument("--no-serve", action="store_true", help="print and end")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--address", default="127.0.0.1")

    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        self.stdout.flush()
        if not options["no_serve"]:
            serve_pages(options["address"], options["port"])

    def answer(self, **options: Any) -> Any:
        if not 1 <= options["port"] <= 65535:
            raise BadInput(f"{options['port']} is no port; expected 1 to 65535")
        if options["fresh"]:
            _start_over()
        if what_is_here() == OTHER:
            mend = "Name an empty database in DATABASE_URL, or unset it and the demo makes a file of its own."
            if _is_own_file():
                mend = "Say --fresh and this file, which belongs to the demo, is made anew."
            raise BadInput(f"{_database()} holds things that are no demo; nothing was touched. {mend}")
        bring_up_to_date()
        if faults := load_reference(settings.REFERENCE_DIR).faults:
            raise BadInput("; ".join(map(str, faults)))
        people = open_demo(settings.DEMO_DIR)
        self.report = bench_report(timezone.localdate())
        url = f"http://{_host(options['address'])}:{options['port']}/"
        return {"people": people, "bench": bench_as_json(self.report), "url": url}

    def show(self, answer: Any) -> None:
        for line in bench_lines(self.report):
            self.stdout.write(line)
        self.stdout.write("\nLog in as (new passwords at every start):")
        for person in answer["people"]:
            self.stdout.write(f"  {person['name']:8} {person['password']}")
        self.stdout.write(f"\n{answer['url']}   (demo in {_database()}; end with Ctrl-C)")


def _host(address: str) -> str:
    return f"[{address}]" if ":" in address and not address.startswith("[") else address


def _database() -> str:
    return str(connection.settings_dict["NAME"])


def _is_own_file() -> bool:
    return connection.vendor == "sqlite" and Path(_database()) == own_file().resolve()


def _start_over() -> None:
    """Empty the demo's database. A database named by the person is only emptied when it is a demo."""
    if _is_own_file():
        connection.close()
        for tail in ("", "-wal", "-shm"):
            Path(f"{_database()}{tail}").unlink(missing_ok=True)
    elif what_is_here() == DEMO:
        call_command("flush", interactive=False, verbosity=0)
