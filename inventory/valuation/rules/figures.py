"""Figures of money whose point or comma can be read in two ways: told by the other figures of their column.

Money has two decimals, so 1,234 is commonly twelve hundred; but where 12.50 stands above it, 12.345 is not twelve
thousand, and 0.125 is no hundred and twenty-five anywhere. What stays open is asked, with both readings (common
practice, no source; the decimals of currencies: ISO 4217).
"""

import re
from collections.abc import Iterable
from decimal import Decimal

#: Currencies in use with three decimals (ISO 4217, minor unit 3).
THREE_DECIMALS = frozenset({"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"})
_DECIMALS = re.compile(r"[0-9]([.,])[0-9]{1,2}$")  # 12.50, 1.234,5
_LONG = re.compile(r"(0|[0-9]+(?=[.,](?:[0-9]{4,})$))[.,]([0-9]+)")  # 0.125, 1234.5678: no thousands
_GROUP = re.compile(r"([1-9][0-9]{0,2})([.,])([0-9]{3})")
_FIGURE = re.compile(r"[0-9][0-9.,]*")


def decimal_signs(cells: Iterable[str]) -> frozenset[str]:
    """The signs that stand before decimals in these cells: a point, a comma, both or neither."""
    return frozenset(found[1] for cell in cells if (found := _DECIMALS.search(_figure(cell))))


def exact(cell: str) -> Decimal | None:
    """The figure of a cell that holds nothing else and whose decimals are more than money has; None for others."""
    found = _LONG.fullmatch(cell.strip())
    return Decimal(f"{found[1]}.{found[2]}") if found else None


def in_doubt(cell: str, signs: frozenset[str], currency: str) -> tuple[str, str] | None:
    """Both readings of a figure such as 12.345, where neither its column nor its currency tells them apart."""
    found = _GROUP.fullmatch(_figure(cell))
    if not found or not (found[2] in signs or currency in THREE_DECIMALS):
        return None
    return found[1] + found[3], f"{found[1]}.{found[3]}"


def _figure(cell: str) -> str:
    """The one figure in a cell, whatever stands beside it."""
    figures: list[str] = _FIGURE.findall(cell)
    return figures[0] if len(figures) == 1 else ""
