"""``manage.py add_person NAME --role helper``: an account with a role and a random password printed once."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils.crypto import get_random_string

from inventory.house.access import ROLES, add_person
from inventory.house.command import AnswerCommand


class Command(AnswerCommand):
    help = "Add a person: a visitor looks, a helper adds, a keeper changes and corrects."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("name")
        parser.add_argument("--role", choices=ROLES, required=True)

    def answer(self, **options: Any) -> Any:
        password = get_random_string(14)
        add_person(options["name"], options["role"], password)
        return {"name": options["name"], "role": options["role"], "password": password}

    def show(self, answer: Any) -> None:
        self.stdout.write(f"{answer['name']} ({answer['role']}), password {answer['password']} (shown this once)")
