"""``manage.py time_valuation``: many tubes valued on many price rows, beside a plain groupby-median of pandas."""

import time
import tracemalloc
from collections.abc import Callable
from typing import Any

import numpy as np
from django.core.management.base import CommandParser

from inventory.demo.actions.prices import Shape, made_evidence
from inventory.house.command import AnswerCommand, BadInput
from inventory.valuation.rules.estimate import Values, values
from inventory.valuation.rules.fitting import fit
from inventory.valuation.rules.words import GRADES

LATER = 10**7


class Command(AnswerCommand):
    help = "Time the valuation of many tubes on many made price rows, and a groupby-median of the same rows by pandas."
    requires_system_checks = []

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--rows", type=int, default=1_000_000)
        parser.add_argument("--tubes", type=int, default=100_000)
        parser.add_argument("--types", type=int, default=5_000)
        parser.add_argument("--rounds", type=int, default=5, help="turn about; the median of each is told (5)")
        parser.add_argument("--seed", type=int, default=1)

    def answer(self, **options: Any) -> Any:
        sizes = options["rows"], options["tubes"], options["types"], options["rounds"]
        if not all(1 <= size <= 10_000_000 for size in sizes):
            raise BadInput(f"sizes {sizes}: expected each from 1 to 10000000")
        rows, tubes, types, rounds = sizes
        made = made_evidence(Shape(rows=rows, types=types), options["seed"])
        random = np.random.default_rng(options["seed"])
        asked = random.integers(0, types, tubes), random.integers(0, len(GRADES), tubes).astype(np.int8)
        nothing = np.full(tubes, -1, np.int8)

        def ours() -> Values:
            found = fit(made.evidence, made.families, LATER)
            return values(found, asked[0], asked[1], nothing, nothing, LATER)

        found: dict[str, Any] = {"rows": rows, "tubes": tubes, "types": types, "rounds": rounds}
        try:
            import pandas
        except ImportError:
            told = {"ours": _turns([ours], rounds)[0]}
            found["without"] = "pandas is not installed: pip install '.[bench]'"
        else:
            frame = pandas.DataFrame(
                {"type": made.evidence.type, "grade": made.evidence.grade, "price": made.evidence.price}
            )
            ways: list[Callable[[], Any]] = [
                ours,
                lambda: frame.groupby("type")["price"].median().reindex(asked[0]),
                lambda: frame.groupby(["type", "grade"])["price"].median(),
            ]
            told = dict(zip(("ours", "median", "median_by_grade"), _turns(ways, rounds), strict=True))
        found |= {f"{name}_seconds": round(seconds, 4) for name, seconds in told.items()}
        if "median" in told:
            found["ratio"] = round(told["ours"] / told["median"], 2)
            found["ratio_by_grade"] = round(told["ours"] / told["median_by_grade"], 2)
        return found | {"peak_mb": _peak(ours), "valued": int(np.isfinite(ours().amount).sum())}


def _turns(ways: list[Callable[[], Any]], rounds: int) -> list[float]:
    """The median time of each way in seconds, taken turn about, so that a busy moment meets them alike."""
    taken: list[list[float]] = [[] for _ in ways]
    for way in ways:
        way()  # what is loaded or kept once is not timed
    for _ in range(rounds):
        for way, times in zip(ways, taken, strict=True):
            began = time.perf_counter()
            way()
            times.append(time.perf_counter() - began)
    return [float(np.median(times)) for times in taken]


def _peak(way: Callable[[], Any]) -> float:
    """The most memory that it holds beside the evidence, in MB, of a run that is not timed."""
    tracemalloc.start()
    way()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return round(peak / 1e6, 1)
