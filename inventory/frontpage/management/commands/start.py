"""``manage.py start``: from a fresh clone, or after an update, to a served front page on the keeper's own data."""

from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import CommandParser
from django.utils.crypto import get_random_string

from inventory.house.access import KEEPER, add_person
from inventory.house.command import AnswerCommand, BadInput
from inventory.house.serve import serve_pages
from tubes.actions import load_reference


class Command(AnswerCommand):
    help = "Bring the database up to date, load the reference tables, make the first keeper, and serve."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="make ready and end")
        parser.add_argument("--address", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)

    def answer(self, **options: Any) -> Any:
        call_command("migrate", verbosity=0)
        result = load_reference(settings.REFERENCE_DIR)
        if result.faults:
            raise BadInput("; ".join(str(fault) for fault in result.faults[:5]))
        url = f"http://{options['address']}:{options['port']}/"
        return {"keeper": self.first_keeper(), "url": url}

    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        if not options["no_serve"]:
            self.stdout.write(f"Serving http://{options['address']}:{options['port']}/ (end with Ctrl-C)")
            self.stdout.flush()
            serve_pages(options["address"], options["port"])

    def first_keeper(self) -> dict[str, str] | None:
        """The first account, with a password that is shown this once; nothing when there is an account already."""
        if get_user_model().objects.exists():
            return None
        password = get_random_string(14)
        add_person("keeper", KEEPER, password)
        return {"name": "keeper", "password": password}

    def show(self, answer: Any) -> None:
        if answer["keeper"]:
            self.stdout.write(f"First keeper: name {answer['keeper']['name']}, password {answer['keeper']['password']}")
            self.stdout.write("The password is shown this once. Change it with: manage.py changepassword keeper")
