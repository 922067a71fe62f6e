"""Options that several commands about tubes share."""

from collections.abc import Mapping
from typing import Any

from django.core.management.base import CommandParser

from tubes.rules.judge_parts import Conditions
from tubes.rules.units import parse_frequency_kc, parse_quantity

_YES_NO = {"yes": True, "no": False}


def add_conditions(parser: CommandParser) -> None:
    """The options that say how the wanted type works in its place; what is left out is assumed, and told."""
    parser.add_argument("--series-heater", action="store_true", help="heaters in a series string")
    parser.add_argument("--supply-v", metavar="V", help="heater supply; of the whole string where in series")
    parser.add_argument("--string-a", metavar="A", help="current of the series string")
    parser.add_argument("--budget-a", metavar="A", help="heater current that a parallel supply can give there")
    parser.add_argument("--plate-v", metavar="V", help="plate voltage there (rectifier: peak inverse)")
    parser.add_argument("--plate-w", metavar="W", help="plate dissipation there, one section")
    parser.add_argument("--screen-v", metavar="V", help="screen voltage there")
    parser.add_argument("--screen-watts", "--screen-w", dest="screen_w", metavar="W", help="screen dissipation there")
    parser.add_argument("--output-ma", metavar="MA", help="dc output of a rectifier there")
    parser.add_argument("--frequency", metavar="F", help="with its unit, for example 3.6 Mc")
    parser.add_argument("--neutralized", action="store_true", help="the stage there is neutralized")
    parser.add_argument("--tuned", action="store_true", help="tuned circuits there: capacitances count")
    parser.add_argument(
        "--switched-together", action="store_true", help="the set switches plate and filament together: no preheat"
    )
    parser.add_argument("--on-side", action="store_true", help="tubes do not stand upright in the set")
    parser.add_argument("--gain-controlled", choices=tuple(_YES_NO), help="whether AVC or a gain control sets the bias")


def conditions_from(options: Mapping[str, Any]) -> Conditions:
    """The conditions that the options state. Raises ValueError naming the option."""
    frequency = options["frequency"]
    return Conditions(
        series=options["series_heater"],
        supply_v=_amount(options, "supply_v", "V"),
        string_a=_amount(options, "string_a", "A"),
        budget_a=_amount(options, "budget_a", "A"),
        plate_v=_amount(options, "plate_v", "V"),
        plate_w=_amount(options, "plate_w", "W"),
        screen_v=_amount(options, "screen_v", "V"),
        screen_w=_amount(options, "screen_w", "W", "--screen-watts"),
        output_ma=_amount(options, "output_ma", "mA"),
        frequency_mhz=None if frequency is None else parse_frequency_kc(frequency) / 1000,
        neutralized=options["neutralized"],
        tuned=options["tuned"],
        switched_together=options["switched_together"],
        on_side=options["on_side"],
        gain_controlled=_YES_NO.get(options["gain_controlled"]),
    )


def _amount(options: Mapping[str, Any], name: str, unit: str, option: str = "") -> float | None:
    """A positive figure, alone or with its unit."""
    text = options[name]
    if text is None:
        return None
    option = option or "--" + name.replace("_", "-")
    try:
        value = float(text)
    except ValueError:
        try:
            value = parse_quantity(text, unit)
        except ValueError as fault:
            raise ValueError(f"{option}: {fault}") from fault
    if not 0 < value < float("inf"):
        raise ValueError(f"{option}: {text!r} is no positive figure; expected one such as 250 {unit}")
    return value
