"""``manage.py time_station``: how long the station view takes, beside a plain loop over the same rows (a benchmark)."""

import time
from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand
from inventory.pairing.queries import PairFilter, pairing_table, station_view


class Command(AnswerCommand):
    help = "Time the station view on the database in use (fill it with make_collection first)."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--loop", action="store_true", help="also time the plain loop, pair by pair with reasons")

    def answer(self, **options: Any) -> Any:
        today = timezone.localdate()
        began = time.perf_counter()
        view = station_view(today)
        seconds = time.perf_counter() - began
        pairs = sum(1 for line in view.states for state in line if state)
        answer = {
            "chassis": len(view.chassis),
            "units": len(view.units),
            "pairs": pairs,
            "station_s": round(seconds, 3),
        }
        if options["loop"]:
            began = time.perf_counter()
            rows = pairing_table(today, PairFilter(kinds=("unit",)))
            answer["loop_s"] = round(time.perf_counter() - began, 3)
            told = {(row.chassis.tag, row.unit.tag): row.state for row in rows}
            seen = {(c.tag, u.tag): s for u, _, line in view.rows for c, s in line if s}
            answer["same_states"] = told == seen
        return answer
