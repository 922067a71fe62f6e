"""``manage.py combine``: a wanted part out of a stock that a file states."""

from dataclasses import replace
from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.rules.combining.combine import MOST, combine
from inventory.holdings.rules.combining.sharing import UNITS
from inventory.holdings.rules.combining.stock_file import StockFault, read_stock, wanted_value
from inventory.holdings.rules.part_kinds import PartFigures
from inventory.holdings.rules.part_values import in_full
from inventory.house.command import AnswerCommand, BadInput, read_text
from tubes.rules.units import UnitFault, parse_quantity

MOST_BYTES = 5_000_000
OPTION = {"watts": "power", "volts": "voltage", "amps": "current"}
ASKED = {"resistor": ("watts", "volts"), "capacitor": ("volts",), "inductor": ("amps",)}


class Command(AnswerCommand):
    help = (
        "Single parts, and two or three in series or parallel, that have a wanted value with every part inside its own "
        "rating; fewest parts first, then the closest."
    )
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--value", required=True, metavar="'270 ohm'", help="in ohm, K, Meg, pF, mfd, uH, H")
        parser.add_argument("--tolerance", type=float, required=True, metavar="PCT", help="in %%; 0: the very value")
        parser.add_argument("--power", metavar="'2 W'", help="that the resistor turns into heat in all")
        parser.add_argument("--voltage", metavar="'400 V'", help="peak voltage across it")
        parser.add_argument("--current", metavar="'0.5 A'", help="through the inductor")
        parser.add_argument(
            "--stock", required=True, metavar="FILE", help="CSV with value, tolerance_pct, rating, quantity; a figure "
            "without a unit is in ohm, pF or uH, its rating in W, V or A",
        )  # fmt: skip
        parser.add_argument(
            "--needed", action="store_true", help="leave out combinations of which fewer pieces do the work as well"
        )
        parser.add_argument("--most", type=int, default=MOST, help=f"name so many of them at most ({MOST})")

    def answer(self, **options: Any) -> Any:
        kind, value = wanted_value(options["value"])
        volts, watts, amps = (self._load(kind, name, options[OPTION[name]]) for name in UNITS)
        if options["most"] < 1:
            raise BadInput("--most: expected a whole number of 1 or more")
        text = read_text(options["stock"], MOST_BYTES)
        try:
            stock, others = read_stock(kind, text)
        except StockFault as fault:
            raise BadInput(f"{options['stock']}: {fault}") from fault
        wanted = PartFigures(kind, value, options["tolerance"], volts, watts, amps=amps)
        found = combine(wanted, stock, options["most"], options["needed"])
        beside = f"{others} of the lots in the file are no {kind}s, by their values: they were left out."
        return replace(found, remarks=(*found.remarks, beside) if others else found.remarks).as_dict()

    def _load(self, kind: str, name: str, text: str | None) -> float | None:
        option, unit = f"--{OPTION[name]}", UNITS[name]
        if text is None:
            return None
        if name not in ASKED[kind]:
            rated = ", ".join(f"--{OPTION[one]}" for one in ASKED[kind])
            raise BadInput(f"{option} is not asked of a {kind}; it takes {rated}")
        try:
            load = parse_quantity(in_full(text), unit)
        except UnitFault as fault:
            raise BadInput(f"{option}: {fault}") from fault
        if load <= 0:
            raise BadInput(f"{option}: {text!r}; expected more than 0 {unit}")
        return load

    def show(self, answer: Any) -> None:
        for one in (*answer["single"], *answer["combinations"]):
            lots = "; ".join(part["lot"] for part in one["parts"])
            borne = ((one["voltage_v"], "V"), (one["power_w"], "W"), (one["current_a"], "A"))
            bears = ", ".join(f"{figure:.4g} {unit}" for figure, unit in borne if figure is not None)
            self.stdout.write(f"{one['text']}: {one['error_pct']:+.3g} %{f', bears {bears}' * bool(bears)} ({lots})")
            for caution in one["cautions"]:
                self.stdout.write(f"    {caution}")
        if not answer["single"] and not answer["combinations"]:
            self.stdout.write("Nothing in this stock serves.")
        if answer["more_single"] or answer["more"]:
            self.stdout.write(f"And {answer['more_single'] + answer['more']} more; --most names more of them.")
        for remark in answer["remarks"]:
            self.stderr.write(remark)
