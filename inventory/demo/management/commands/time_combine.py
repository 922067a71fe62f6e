"""``manage.py time_combine``: combinations out of many lots beside a plain loop over every choice (a benchmark)."""

import random
import time
from itertools import pairwise
from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.rules.combining.combine import Combined, StockPart, combine
from inventory.holdings.rules.part_kinds import PartFigures
from inventory.house.command import AnswerCommand, BadInput

SEED = 1943
SLIP = 1e-9
#: IEC 60063, E24.
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


class Command(AnswerCommand):
    help = "Time combinations out of made lots; beside a plain loop over fewer of them, which must answer alike."
    requires_system_checks = []  # arithmetic alone

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--lots", type=int, default=2000, help="made lots (2000)")
        parser.add_argument("--plain", type=int, default=120, help="of these so many go to the plain loop too (120)")
        parser.add_argument("--measured", action="store_true", help="values as measured instead of preferred ones")

    def answer(self, **options: Any) -> Any:
        if options["lots"] < 1 or options["plain"] < 1:
            raise BadInput("--lots and --plain: expected whole numbers of 1 or more")
        chance = random.Random(SEED)
        lots = [_made(number, chance, options["measured"]) for number in range(options["lots"])]
        wanted = PartFigures("resistor", 270.0, 5.0, watts=2.0)
        few = lots[: options["plain"]]
        times = [time.perf_counter()]
        found = combine(wanted, lots)
        times.append(time.perf_counter())
        of_few = combine(wanted, few)
        times.append(time.perf_counter())
        plain = plainly(wanted, few)
        times.append(time.perf_counter())
        searched, of_few_s, looped = (later - earlier for earlier, later in pairwise(times))
        return {
            "lots": len(lots), "combinations": found.count, "search_s": round(searched, 3),
            "plain_lots": len(few), "search_of_plain_lots_s": round(of_few_s, 4), "loop_s": round(looped, 3),
            "loop_to_search": round(looped / of_few_s, 1),
            "loop_of_all_lots_s_reckoned": round(looped * (len(lots) / len(few)) ** 3, 1),
            "same_answers": same(of_few, plain),
        }  # fmt: skip

    def exit_code(self, answer: Any) -> int:
        return 0 if answer["same_answers"] else 1


def _made(number: int, chance: random.Random, measured: bool) -> StockPart:
    value = chance.choice(E24) * 10.0 ** chance.randint(-1, 4) * (chance.uniform(0.9, 1.1) if measured else 1.0)
    watts = chance.choice((0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0))
    # No two are alike in all figures, so that the plain loop knows nothing of putting lots together.
    return StockPart(f"lot {number}", value, chance.randint(1, 9), 5.0 + number * 1e-6, watts=watts)


def plainly(wanted: PartFigures, lots: list[StockPart]) -> list[tuple[int, float]]:
    """Of every choice of two and three pieces that serves how many they are and how far off in %, in that order."""
    value, watts = wanted.value or 1.0, wanted.watts or 0.0
    allowed = (wanted.tolerance_pct or 0.0) + 100 * SLIP
    off = []
    for straight in (True, False):
        rows = [(lot.value if straight else 1 / lot.value, lot.watts or 0.0, lot.quantity) for lot in lots]
        for at, (x, bears, copies) in enumerate(rows):
            for then in range(at, len(rows)):
                if then == at and copies < 2:
                    continue
                y, bears_too, _ = rows[then]
                for total, pieces in _with_a_third(rows, at, then):
                    got = total if straight else 1 / total
                    error = abs(got / value - 1) * 100
                    loads = ((x, bears), (y, bears_too), *pieces)
                    if error <= allowed and all(watts * z <= most * total * (1 + SLIP) for z, most in loads):
                        off.append((2 + len(pieces), error))
    return sorted(off)


def _with_a_third(
    rows: list[tuple[float, float, int]], at: int, then: int
) -> list[tuple[float, tuple[tuple[float, float], ...]]]:
    """Two pieces alone, and with each third that there is."""
    both = rows[at][0] + rows[then][0]
    told: list[tuple[float, tuple[tuple[float, float], ...]]] = [(both, ())]
    for last in range(then, len(rows)):
        z, most, copies = rows[last]
        if last == then and copies < (3 if then == at else 2):
            continue
        told.append((both + z, ((z, most),)))
    return told


def same(found: Combined, plain: list[tuple[int, float]]) -> bool:
    """Whether the search found as many as the plain loop, and the same ones first."""
    told = [(len(one.parts), abs(one.error_pct)) for one in found.combinations]
    near = [one[0] == other[0] and abs(one[1] - other[1]) < 1e-6 for one, other in zip(told, plain, strict=False)]
    return found.count == len(plain) and all(near)
