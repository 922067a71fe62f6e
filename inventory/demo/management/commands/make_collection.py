"""``manage.py make_collection``: a large made-up collection for trials."""

import time
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.demo.actions.collection import make_collection
from inventory.holdings.models import Tube
from inventory.house.command import AnswerCommand, BadInput, parse_day
from tubes.actions import load_reference
from tubes.models import TubeType

SIZES = {"tubes": 50_000, "chassis": 120, "units": 240, "events": 2_000, "plans": 40}


class Command(AnswerCommand):
    help = (
        "Fill the database with a made-up collection for trials. The same seed gives the same rows. Written in bulk: "
        "the rows have no history of changes. Refused where there are tubes already, unless --add."
    )

    def options(self, parser: CommandParser) -> None:
        for name, size in SIZES.items():
            parser.add_argument(f"--{name}", type=int, default=size, metavar="N", help=f"how many ({size})")
        parser.add_argument("--seed", type=int, default=1, metavar="S")
        parser.add_argument("--today", help="the last day of the made-up records, YYYY-MM-DD (today)")
        parser.add_argument("--add", action="store_true", help="add to the tubes that are there")

    def answer(self, **options: Any) -> Any:
        if Tube.objects.exists() and not options["add"]:
            raise BadInput("There are tubes in this database; name an empty one in DATABASE_URL, or say --add.")
        if not TubeType.objects.exists() and (faults := load_reference(settings.REFERENCE_DIR).faults):
            raise BadInput("; ".join(map(str, faults)))
        began = time.monotonic()
        sizes = {name: options[name] for name in SIZES}
        today = parse_day(options["today"]) or timezone.localdate()
        counts = make_collection(**sizes, seed=options["seed"], today=today)
        return {"made": counts, "seed": options["seed"], "seconds": round(time.monotonic() - began, 1)}

    def show(self, answer: Any) -> None:
        for name, count in answer["made"].items():
            self.stdout.write(f"{count:8} {name}")
        self.stdout.write(f"seed {answer['seed']}, {answer['seconds']} s")
