"""``manage.py time_judge``: the search over many types beside a plain loop calling the judge (a benchmark)."""

import random
import time
from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from tubes.queries.judging import Court, court
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.judge import judge
from tubes.rules.judge_parts import Conditions
from tubes.rules.judge_search import TypeTable, verdict_ranks

SEED = 1943
CHANGED = ("plate_v_max", "plate_w_max", "screen_v_max", "screen_w_max", "mu", "gm_umho", "cgp_pf", "plate_ma_typ")


class Command(AnswerCommand):
    help = "Time the search over made types beside a plain loop calling the judge; both must answer alike."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--types", type=int, default=5000, help="made types (5000)")
        parser.add_argument("--positions", type=int, default=200, help="made positions (200)")

    def answer(self, **options: Any) -> Any:
        if options["types"] < 1 or options["positions"] < 1:
            raise BadInput("--types and --positions: expected whole numbers of 1 or more")
        bench = court()
        chance = random.Random(SEED)
        types = made_types(bench, options["types"], chance)
        places = [(chance.choice(types), made_conditions(chance)) for _ in range(options["positions"])]
        began = time.perf_counter()
        table = TypeTable.build(types, bench.limits)
        found = [verdict_ranks(wanted, conditions, table, bench.bench) for wanted, conditions in places]
        searched = time.perf_counter()
        plain = [[judge(wanted, one, conditions, bench.bench).rank for one in types] for wanted, conditions in places]
        looped = time.perf_counter()
        return {
            "types": len(types),
            "positions": len(places),
            "pairs": len(types) * len(places),
            "search_s": round(searched - began, 3),
            "loop_s": round(looped - searched, 3),
            "same_verdicts": all(ranks.tolist() == line for ranks, line in zip(found, plain, strict=True)),
        }

    def exit_code(self, answer: Any) -> int:
        return 0 if answer["same_verdicts"] else 1


def made_types(bench: Court, count: int, chance: random.Random) -> list[TypeFigures]:
    """Types made from those of the tables: some figures larger, smaller or left out."""
    models = [figures for _, figures in sorted(bench.figures.items()) if figures.numbers]
    if not models:
        raise BadInput("no type has figures; load the tables with manage.py load_reference")
    return [_made(f"made {number}", chance.choice(models), chance) for number in range(count)]


def _made(name: str, model: TypeFigures, chance: random.Random) -> TypeFigures:
    numbers = dict(model.numbers)
    for figure in CHANGED:
        if figure in numbers and chance.random() < 0.5:
            numbers[figure] = Figure(round(numbers[figure].value * chance.uniform(0.6, 1.6), 3))
    words: dict[str, Word] = dict(model.words)
    for known in (numbers, words):
        if known and chance.random() < 0.1:
            del known[chance.choice(sorted(known))]
    return TypeFigures(name, numbers, words, model.caution, model.form_note)


def made_conditions(chance: random.Random) -> Conditions:
    """Conditions of a made position: some stated, most left to be assumed."""
    return Conditions(
        series=chance.random() < 0.2,
        plate_v=chance.choice([None, None, 250.0, 400.0, 1000.0]),
        plate_w=chance.choice([None, None, 2.0, 12.0]),
        frequency_mhz=chance.choice([None, None, 7.0]),
        neutralized=chance.random() < 0.2,
        tuned=chance.random() < 0.2,
    )
