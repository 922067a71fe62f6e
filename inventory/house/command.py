"""The frame of every command: ``--json`` prints one document; messages go to stderr; 0 answered, 2 bad input."""

import json
import os
import re
import sys
from datetime import date
from pathlib import Path
from typing import Any, NoReturn

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.house.busy import why_not_now
from inventory.house.checks import SETTINGS

LONG = 2_000  # entries of one list, above which JSON is not laid out in lines

A_NUMBER_BELOW_ZERO = re.compile(r"-(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$", re.IGNORECASE)  # the one of argparse has no e


class BadInput(Exception):
    """Input that cannot be answered; its text is the one line for the person who typed it."""


class AnswerCommand(BaseCommand):
    """A command that parses, calls one question or change, and prints the answer.

    Subclasses add options in ``options``, return the answer from ``answer`` (anything JSON can hold) and print it for
    people in ``show``.
    """

    requires_migrations_checks = False
    requires_system_checks = [SETTINGS]  # the pages are checked where they are served: loading them takes half a second

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.add_argument("--json", action="store_true", help="one JSON document on standard output")
        parser._negative_number_matcher = A_NUMBER_BELOW_ZERO  # else "-1e5" is read as an option
        told = parser.error

        def error(message: str) -> NoReturn:
            """One line for what was typed wrong; how the command is used stands in its help."""
            if not parser.called_from_command_line:
                told(message)
            parser.exit(2, f"{parser.prog}: {message}; --help tells what it takes\n")

        parser.error = error  # type: ignore[method-assign]
        return parser

    def add_arguments(self, parser: CommandParser) -> None:
        self.options(parser)

    def options(self, parser: CommandParser) -> None:
        """Arguments of the command's own."""

    def answer(self, **options: Any) -> Any:
        """The answer. Raises BadInput, ValidationError or ValueError for input that cannot be answered."""
        raise NotImplementedError

    def show(self, answer: Any) -> None:
        """Print the answer for people."""
        self.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False, default=str))

    def exit_code(self, answer: Any) -> int:
        return 0

    def execute(self, *args: Any, **options: Any) -> Any:
        try:
            said = super().execute(*args, **options)
            self.stdout.flush()
            return said
        except BadInput as refusal:
            raise CommandError(str(refusal), returncode=2) from refusal
        except BrokenPipeError:  # who reads has read enough, as ``head`` does
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(0)

    def answered(self, **options: Any) -> Any:
        """The answer; what it was refused for as a CommandError, ready to be told."""
        try:
            return self.answer(**options)
        except ValidationError as refusal:
            raise CommandError("; ".join(refusal.messages), returncode=2) from refusal
        except (BadInput, ValueError) as refusal:
            raise CommandError(str(refusal), returncode=2) from refusal
        except Exception as fault:
            if told := why_not_now(fault):
                raise CommandError(told, returncode=1) from fault
            raise

    def handle(self, *args: Any, **options: Any) -> None:
        answer = self.answered(**options)
        if options["json"]:
            self.stdout.write(json.dumps(answer, indent=_indent(answer), ensure_ascii=False, default=str))
        else:
            self.show(answer)
        if code := self.exit_code(answer):
            sys.exit(code)


def _indent(answer: Any) -> int | None:
    """Laid out for people but where nobody reads it through: the routine that lays out takes ten times as long."""
    parts = answer.values() if isinstance(answer, dict) else [answer]
    return None if any(isinstance(part, list) and len(part) > LONG for part in parts) else 2


def parse_day(text: str | None) -> date | None:
    """A date written YYYY-MM-DD; nothing stays nothing. Raises BadInput otherwise."""
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as fault:
        raise BadInput(f"{text!r} is no date; expected YYYY-MM-DD") from fault


def read_text(name: str, most_bytes: int) -> str:
    """The text of a small UTF-8 file that was named on the command line. Raises BadInput naming the line at fault."""
    try:
        with Path(name).open("rb") as file:
            content = file.read(most_bytes + 1)
    except (OSError, ValueError) as fault:
        raise BadInput(f"{name} cannot be read: {getattr(fault, 'strerror', None) or fault}") from fault
    if len(content) > most_bytes:
        raise BadInput(f"{name} is larger than {most_bytes // 1_000_000} MB; such a table is far smaller")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        raise BadInput(f"{name}:{line}: not UTF-8 text; save the table as CSV in UTF-8") from fault
