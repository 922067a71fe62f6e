"""``manage.py time_matching``: pairs from many invented tubes, on one reading and on two (a benchmark)."""

import time
from typing import Any

import numpy as np
from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.running.rules.matching import MOST_SIZE, MOST_TUBES, Candidate, match


class Command(AnswerCommand):
    help = "Time the matching of invented tubes, on one reading and on two. No row is read."
    requires_system_checks = []

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--tubes", type=int, default=400)
        parser.add_argument("--size", type=int, default=2, help="tubes in a set (2)")
        parser.add_argument("--tolerance", type=float, default=2.0, help="percent (2)")
        parser.add_argument("--seed", type=int, default=1)

    def answer(self, **options: Any) -> Any:
        tubes, size = options["tubes"], options["size"]
        if not (2 <= tubes <= MOST_TUBES and 2 <= size <= MOST_SIZE):
            raise BadInput(f"{tubes} tubes in sets of {size}: expected 2 to {MOST_TUBES}, in sets of 2 to {MOST_SIZE}")
        random = np.random.default_rng(options["seed"])
        figures = random.normal(2600, 300, (tubes, 2)).clip(100).round()
        found: dict[str, Any] = {"tubes": tubes, "size": size, "tolerance_pct": options["tolerance"]}
        for name, count in (("one_reading", 1), ("two_readings", 2)):
            tested = [
                Candidate(f"T-{n:04d}", tuple(float(figure) for figure in row[:count]))
                for n, row in enumerate(figures, 1)
            ]
            began = time.perf_counter()
            matching = match(tested, size, options["tolerance"])
            seconds = round(time.perf_counter() - began, 3)
            found[name] = {"seconds": seconds, "sets": len(matching.sets), "left": len(matching.left)}
        return found
