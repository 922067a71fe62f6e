"""``manage.py start``: from a fresh clone, or after an update, to a served front page on the keeper's own data."""

import contextlib
import socket
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management.base import CommandParser
from django.utils.crypto import get_random_string

from inventory.house.access import KEEPER, add_person
from inventory.house.command import AnswerCommand, BadInput
from inventory.house.serve import serve_pages
from inventory.house.tables import bring_up_to_date
from tubes.actions import load_reference


def names_of_this_machine(address: str) -> list[str]:
    """The names under which others in the house reach this machine when it serves on more than itself."""
    if address in ("127.0.0.1", "localhost", "::1"):
        return []
    name = socket.gethostname()
    names = {address, name, f"{name}.local"}
    with contextlib.suppress(OSError):
        names.update(socket.gethostbyname_ex(name)[2])
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # sends nothing; tells which address would be used (RFC 5737 test net)
        names.add(probe.getsockname()[0])
    return sorted(names - {"0.0.0.0", "::"})


class Command(AnswerCommand):
    help = "Bring the database up to date, load the reference tables, make the first keeper, and serve."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="make ready and end")
        parser.add_argument("--address", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)

    def answer(self, **options: Any) -> Any:
        bring_up_to_date()
        result = load_reference(settings.REFERENCE_DIR)
        if result.faults:
            raise BadInput("; ".join(str(fault) for fault in result.faults[:5]))
        url = f"http://{options['address']}:{options['port']}/"
        return {"keeper": self.first_keeper(), "url": url}

    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        if not options["no_serve"]:
            settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, *names_of_this_machine(options["address"])]
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
