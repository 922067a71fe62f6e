"""Options that the commands of valuation share."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.holdings.models import Place
from inventory.house.command import BadInput, parse_day
from inventory.house.currencies import currency_refused
from inventory.valuation.rules.bases import BASES, FAIR_MARKET
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import GRADES


def add_money(parser: CommandParser) -> None:
    """The day and the money of the answer, and how much old evidence counts."""
    parser.add_argument("--on", metavar="DATE", help="valuation date, YYYY-MM-DD (today); nothing later counts")
    parser.add_argument("--currency", default="EUR", help="ISO 4217 code of the answer (EUR)")
    parser.add_argument("--half-life", type=float, metavar="YEARS", help="evidence so old counts half (all alike)")


def add_value(parser: CommandParser) -> None:
    """The day, the money, the grade and the basis of the answer."""
    add_money(parser)
    parser.add_argument("--grade", choices=GRADES, default="", help="the commonest of the evidence if not given")
    parser.add_argument("--basis", choices=list(BASES), default=FAIR_MARKET)
    parser.add_argument("--real", action="store_true", help="old prices as of today's price level, by U.S. CPI-U")


def money_options(options: dict[str, Any]) -> dict[str, Any]:
    """``on``, ``currency`` and ``weighting`` as the queries take them. Raises BadInput."""
    currency = options["currency"].strip().upper()
    if refused := currency_refused(currency) or ("" if currency else "no code is written, such as EUR"):
        raise BadInput(f"--currency: {refused}")
    half_life = options["half_life"]
    if half_life is not None and not 0 < half_life <= 1000:
        raise BadInput(f"--half-life: {half_life:g}; expected more than 0 and at most 1000 years")
    weighting = None if half_life is None else Weighting(half_life)
    return {"on": parse_day(options["on"]) or timezone.localdate(), "currency": currency, "weighting": weighting}


def place_path(text: str) -> str:
    """The path of the place that a text names, whatever its letters are; the text itself where there is none."""
    path = text.strip()
    place = Place.objects.filter(path__iexact=path).first() if path else None
    return place.path if place else path
