"""``manage.py check_valuation``: estimates beside the truth of made price evidence, in several shapes."""

from typing import Any

import numpy as np
from django.core.management.base import CommandParser

from inventory.demo.actions.prices import SHAPES, made_evidence, sized
from inventory.house.command import AnswerCommand, BadInput
from inventory.valuation.rules.backtest import back_test
from inventory.valuation.rules.estimate import values
from inventory.valuation.rules.fitting import fit

LATER = 10**7  # a valuation date after all of it


class Command(AnswerCommand):
    help = "How near estimates come on made price evidence whose truth is known, beside a plain mean per type."
    requires_system_checks = []

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--shape", choices=[*SHAPES, "all"], default="usual")
        parser.add_argument("--rows", type=int)
        parser.add_argument("--types", type=int)
        parser.add_argument("--seed", type=int, default=1)

    def answer(self, **options: Any) -> Any:
        for name in ("rows", "types"):
            if options[name] is not None and not 1 <= options[name] <= 1_000_000:
                raise BadInput(f"--{name}: {options[name]}; expected 1 to 1000000")
        names = SHAPES if options["shape"] == "all" else [options["shape"]]
        return {name: _checked(name, options["rows"], options["types"], options["seed"]) for name in names}

    def show(self, answer: Any) -> None:
        for name, found in answer.items():
            self.stdout.write(f"{name}: {found['rows']} rows left out one by one, of {found['n_types']} types")
            if found["coverage_80"] is not None:
                held = f"{100 * found['coverage_80']:.1f} % of {found['rows_with_interval']}"
                self.stdout.write(f"  80 % intervals that held the sale: {held}")
            if found["mape_median"] is not None:
                told = f"{100 * found['mape_median']:.1f} %, plain mean {100 * found['baseline_mape_median']:.1f} %"
                self.stdout.write(f"  median error: {told}; smaller by {found['smaller_pct']} %")
            if found["truth_mape_median"] is not None:
                told = f"error {100 * found['truth_mape_median']:.1f} %"
                self.stdout.write(f"  against the truth: {told}, 80 % held it {100 * found['level_coverage_80']:.1f} %")


def _checked(name: str, rows: int | None, types: int | None, seed: int) -> dict[str, Any]:
    made = made_evidence(sized(SHAPES[name], rows, types), seed)
    evidence = made.evidence
    found = back_test(evidence, made.families, LATER)
    told = found.as_dict()
    better = told["mape_median"] is not None and told["baseline_mape_median"]
    told["smaller_pct"] = round(100 * (1 - told["mape_median"] / better), 1) if better else None
    # beside the truth, which the evidence does not hold: what such a tube fetches in the middle of all such sales
    said = values(
        fit(evidence, made.families, LATER), evidence.type, evidence.grade, evidence.venue, evidence.mark, evidence.day
    )
    sure = said.interval
    held = (made.truth >= said.level_low) & (made.truth <= said.level_high)
    off = np.abs(said.amount - made.truth) / made.truth
    told["truth_mape_median"] = round(float(np.median(off[sure])), 4) if sure.any() else None
    # of every type once, since the rows of a type share its level
    first = np.unique(evidence.type[sure], return_index=True)[1]
    told["level_coverage_80"] = round(float(held[sure][first].mean()), 4) if sure.any() else None
    return told
