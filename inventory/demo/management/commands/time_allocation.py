"""``manage.py time_allocation``: tubes for the lines of many plans, beside scipy's bare assignment (a benchmark)."""

import time
from typing import Any

import numpy as np
from django.core.management.base import CommandParser
from scipy.optimize import linear_sum_assignment

from inventory.house.command import AnswerCommand, BadInput
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.rules.allocation import Points, allocate, cost_table, enough_of_each, value_points

MOST = 20_000
TYPES = 60


class Command(AnswerCommand):
    help = (
        "Time the assignment of invented tubes to invented plans beside scipy's bare solver on the same costs; with "
        "--here the whole answer for the open plans of this database besides."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--plans", type=int, default=40)
        parser.add_argument("--positions", type=int, default=20, help="of each plan (20)")
        parser.add_argument("--tubes", type=int, default=5_000)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--here", action="store_true", help="time the open plans of this database, too")

    def answer(self, **options: Any) -> Any:
        plans, positions, tubes = options["plans"], options["positions"], options["tubes"]
        if not (plans > 0 and positions > 0 and 0 < tubes <= MOST and plans * positions <= MOST):
            raise BadInput(
                f"{plans} x {positions} lines, {tubes} tubes: expected at least 1 and at most {MOST} of each"
            )
        draw, points = np.random.default_rng(options["seed"]), Points()
        wanted = draw.integers(0, TYPES, plans * positions)
        by_type = np.where(draw.random((plans * positions, TYPES)) < 0.04, points.relative, np.inf)
        by_type[np.arange(plans * positions), wanted] = 0.0
        types, values = draw.integers(0, TYPES, tubes), draw.integers(1, 90, tubes).astype(float)
        borderline = draw.random(tubes) < 0.1
        urgency = -np.repeat(np.arange(plans) % 9, positions)

        began = time.perf_counter()
        of_tube = borderline * points.borderline + value_points(values, points.most_value)
        use = enough_of_each(by_type, types, of_tube)
        taken = allocate(cost_table(by_type, types[use], of_tube[use]), urgency)
        taken = np.where(taken >= 0, use[taken], -1)
        whole = time.perf_counter() - began

        costs = cost_table(by_type, types, of_tube)
        plain = np.where(np.isfinite(costs), costs, 1e7)
        began = time.perf_counter()
        rows, columns = linear_sum_assignment(plain)
        bare = time.perf_counter() - began
        found = {
            "plans": plans, "positions": positions, "tubes": tubes, "covered": int((taken >= 0).sum()),
            "covered_bare": int((plain[rows, columns] < 1e7).sum()),
            "cost": round(float(costs[np.flatnonzero(taken >= 0), taken[taken >= 0]].sum()), 2),
            "cost_bare": round(float(plain[rows, columns][plain[rows, columns] < 1e7].sum()), 2),
            "seconds": round(whole, 3), "seconds_bare": round(bare, 3), "ratio": round(whole / bare, 2),
        }  # fmt: skip
        if options["here"]:
            began = time.perf_counter()
            here = allotment()
            found["here"] = {
                "seconds": round(time.perf_counter() - began, 3), "lines": len(here.slots),
                "tubes": len(here.stock.tubes), "given_out": int((here.taken >= 0).sum()),
            }  # fmt: skip
        return found
