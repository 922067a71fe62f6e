"""``manage.py value_backtest``: how well estimates do on the evidence in the house."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from inventory.valuation.management.options import add_money, money_options
from inventory.valuation.queries.estimates import value_backtest
from inventory.valuation.rules.judged import by_comparables


class Command(AnswerCommand):
    help = "Each sale left out in turn: how often the 80 % interval held it, median error beside a plain mean per type."

    def options(self, parser: CommandParser) -> None:
        add_money(parser)

    def answer(self, **options: Any) -> Any:
        found = value_backtest(**money_options(options))
        return found.as_dict() | {"by_comparables": [one.as_dict() for one in by_comparables(found)]}

    def show(self, answer: Any) -> None:
        self.stdout.write(f"{answer['rows']} sales of {answer['n_types']} types, each valued from the others")
        if answer["coverage_80"] is not None:
            held = f"{100 * answer['coverage_80']:.1f} % of {answer['rows_with_interval']}"
            self.stdout.write(f"80 % intervals that held the sale: {held}")
        if answer["mape_median"] is not None:
            mean = f"{100 * answer['baseline_mape_median']:.1f} %"
            self.stdout.write(f"median error {100 * answer['mape_median']:.1f} %; plain mean of the type {mean}")
