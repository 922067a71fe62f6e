"""``manage.py time_hours``: filament hours of a large invented collection, beside the bare numpy cost (a benchmark)."""

import time
from typing import Any

import numpy as np
from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.house.records.moments import DAY, HOUR, SPAN
from inventory.running.rules.curves import Vector, Whole
from inventory.running.rules.hours import running_times_of_arrays
from inventory.running.rules.run_log import Runs

FIRST = 700_000 * DAY  # a day in the year 1917; any would do


class Command(AnswerCommand):
    help = "Time the filament hours of many runs and fittings, and the same with numpy alone. No row is read."
    requires_system_checks = []

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--runs", type=int, default=1_000_000)
        parser.add_argument("--fittings", type=int, default=100_000)
        parser.add_argument("--chassis", type=int, default=1_000)
        parser.add_argument("--seed", type=int, default=1)

    def answer(self, **options: Any) -> Any:
        sizes = options["runs"], options["fittings"], options["chassis"]
        if not all(1 <= size <= 10_000_000 for size in sizes):
            raise BadInput(f"sizes {sizes}: expected each from 1 to 10000000")
        runs, tube, since, until = _invented(*sizes, options["seed"])
        began = time.perf_counter()
        times = running_times_of_arrays(runs)
        hours = np.bincount(tube, times.between(since, until).hours)
        ours = time.perf_counter() - began
        began = time.perf_counter()
        bare_hours = np.bincount(tube, _bare(runs, since, until))
        bare = time.perf_counter() - began
        return {
            "runs": sizes[0],
            "fittings": sizes[1],
            "seconds": round(ours, 3),
            "bare_numpy_seconds": round(bare, 3),
            "same_answers": bool(np.allclose(hours, bare_hours, atol=1e-6)),
            "tube_hours": round(float(hours.sum()), 1),
        }


def _invented(runs: int, fittings: int, chassis: int, seed: int) -> tuple[Runs, Whole, Whole, Whole]:
    """Runs without overlap in random order (one in five only as hours of a day), and fittings of tubes."""
    random = np.random.default_rng(seed)
    home = np.arange(runs) % chassis
    day = np.arange(runs) // chassis
    timed = random.random(runs) < 0.8
    length = random.integers(1, 10 * HOUR, runs)
    start = FIRST + day * DAY + np.where(timed, random.integers(0, 12 * HOUR, runs), 0)
    stop = np.where(timed, start + length, start + DAY)
    order = random.permutation(runs)
    nothing, once = np.zeros(runs, dtype=np.bool_), np.ones(runs, dtype=np.int64)
    seconds = length[order].astype(np.float64)
    packed = Runs(home[order], start[order], stop[order], seconds, timed[order], nothing, once)
    where = random.integers(0, chassis, fittings) * SPAN
    ends = np.sort(random.integers(FIRST, FIRST + (runs // chassis + 1) * DAY, (2, fittings)), axis=0)
    return packed, np.arange(fittings) // 2, where + ends[0], where + ends[1]


def _bare(runs: Runs, since: Whole, until: Whole) -> Vector:
    """The same question with as little as numpy needs: one sort, one running sum, one search; no faults are found."""
    start = runs.chassis * SPAN + runs.start
    order = np.argsort(start)
    start, span, seconds = start[order], (runs.stop - runs.start)[order], runs.seconds[order]
    total = np.concatenate(([0.0], np.cumsum(seconds)))

    def upto(keys: Whole) -> Vector:
        place = np.searchsorted(start, keys, side="right") - 1
        at = np.maximum(place, 0)
        part = np.minimum((keys - start[at]) / span[at], 1.0) * seconds[at]
        return np.where(place < 0, 0.0, total[at] + part)

    return (upto(until) - upto(since)) / HOUR
