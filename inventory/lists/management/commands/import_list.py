"""``manage.py import_list FILE``: a keeper's list into the register, or a trial run of it."""

import csv
import json
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, TextIO

from django.core.management.base import CommandParser
from django.utils import timezone
from rich.console import Console
from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bars

from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.actions.read import Progress, options_of
from inventory.lists.actions.take_in import TakenIn, named_mapping, silent, take_in
from inventory.lists.wording.sentences import columns_in_words, rows_in_words, things_in_words


@contextmanager
def progress_bars(what: str) -> Iterator[tuple[Progress, Progress]]:
    """Two bars on a terminal, for the reading and for the rest; nothing where nobody looks.

    The number of rows is known only when all are read: until then the first bar has no end.
    """
    if not sys.stderr.isatty():
        yield silent, silent
        return
    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.completed} rows"), TimeElapsedColumn())
    with Bars(*columns, console=Console(stderr=True)) as bars:
        reading = bars.add_task("read", total=None)
        rest = bars.add_task(what, total=None, visible=False)

        def read(count: int) -> None:
            bars.update(reading, completed=count)

        def written(count: int) -> None:
            whole = bars.tasks[0].completed
            bars.update(reading, total=whole)
            bars.update(rest, completed=count, total=whole, visible=True)

        yield read, written


class Command(AnswerCommand):
    help = (
        "Take a list (CSV, XLSX, ODS, XLS) into the register: rows that are plain are written in one go, all or none; "
        "rows that need a choice wait on the page of the list; refused rows come back with --refused. --trial first."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--mapping", metavar="NAME|FILE", help="a kept mapping, or a JSON file of heading to field")
        parser.add_argument("--dollar", metavar="USD", help="the currency code that $ stands for")
        parser.add_argument(
            "--currency",
            metavar="EUR",
            help="the currency code of prices that name none, and of a sign that it shares with others ($, kr)",
        )
        order = parser.add_mutually_exclusive_group()
        order.add_argument("--day-first", action="store_const", const="day", dest="order", help="04/05/06 is 4 May")
        order.add_argument("--month-first", action="store_const", const="month", dest="order", help="... is 5 April")
        parser.add_argument("--bare-price", choices=("row", "each"), help="what a price with no word beside it is for")
        parser.add_argument(
            "--places",
            metavar="A/B",
            help="several columns of places, from the outermost in: Shelf/Box",
        )
        parser.add_argument("--kind", help="every row is of this kind: tubes, parts, chassis, units, companions, other")
        parser.add_argument("--sheet", default="", metavar="NAME", help="which sheet of a workbook with several")
        parser.add_argument("--trial", action="store_true", help="only say what would become of each row")
        parser.add_argument("--refused", type=Path, metavar="FILE", help="write the refused rows there, with why")

    def answer(self, **options: Any) -> Any:
        columns, kept = named_mapping(options["mapping"]) if options["mapping"] else (None, {})
        given = {name: options[name] for name in ("dollar", "currency", "order", "kind", "places") if options[name]}
        if options["bare_price"]:
            given["bare"] = options["bare_price"]
        if not options["file"].is_file():
            raise BadInput(f"{options['file']} is no file")
        try:
            if options["refused"] and options["refused"].exists() and options["refused"].samefile(options["file"]):
                raise BadInput("--refused names the list itself; name another file")
            with ExitStack() as open_now:
                if options["refused"]:  # opened before anything is written, so that the rows have where to go
                    refused = open_now.enter_context(options["refused"].open("a", encoding="utf-8-sig", newline=""))
                read, written = open_now.enter_context(progress_bars("looked at" if options["trial"] else "written"))
                found = take_in(
                    options["file"], name=options["file"].name, by=None, today=timezone.localdate(),
                    trial=options["trial"], mapping=columns, options=options_of({**kept, **given}),
                    sheet=options["sheet"], progress=read, writing=written,
                )  # fmt: skip
                if options["refused"]:
                    write_refused(found, refused)
        except OSError as fault:
            raise BadInput(f"{fault.filename}: {fault.strerror}") from fault
        for note in found.notes:
            self.stderr.write(note)
        return found

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the document row by row: the report of a long list is never held whole."""
        if not options["json"]:
            super().handle(*args, **options)
            return
        found: TakenIn = self.answered(**options)
        head = found.counts() | found.columns_told()
        if found.run:
            self.stderr.write(f"This is list {found.run.pk}; to take it back: manage.py undo_import {found.run.pk}")
        self.stdout.write(json.dumps(head, ensure_ascii=False, indent=2)[:-2] + ',\n  "rows_report": [', ending="")
        between = "\n    "
        for row in found.report():
            self.stdout.write(between + json.dumps(row, ensure_ascii=False), ending="")
            between = ",\n    "
        self.stdout.write("\n  ]\n}")
        found.spool.close()

    def show(self, answer: TakenIn) -> None:
        for row in answer.report():
            for remark in row["remarks"]:
                where = f"row {row['row']} (line {row['line']}), {remark['column'] or 'row'}"
                todo = f"; {remark['action']}" if remark["action"] else ""
                self.stdout.write(f"{row['outcome']}: {where}: {remark['found']!r}: {remark['reason']}{todo}")
        if text := columns_in_words(answer.columns):
            self.stdout.write(f"{text} Say what a column is with --mapping, or on the page of the list.")
        counts = answer.counts()
        records = things_in_words(counts["records"]) or "No record"
        self.stdout.write(
            f"{rows_in_words(counts['rows'])}: {counts['written']} written ({counts['remarked']} with a remark), "
            f"{counts['held']} held, {counts['refused']} refused, {counts['not_items']} no item. {records}."
        )
        if answer.run:
            self.stdout.write(f"List {answer.run.pk}. To take it back: manage.py undo_import {answer.run.pk}")
        else:
            self.stdout.write("A trial run: nothing was written.")
        answer.spool.close()


def write_refused(found: TakenIn, file: TextIO) -> None:
    """The refused rows as CSV in the place of what a file held, with why; to be corrected and taken in alone."""
    file.seek(0)
    file.truncate()
    csv.writer(file).writerows(found.refused_rows())
