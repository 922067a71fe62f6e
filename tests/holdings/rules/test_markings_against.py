"""The colour code against a package written apart from this: PyPI, PyResistorColorCode 1.0 (2017).

Its wheel asks for all of Qt, of which these tables use nothing, so it is installed without: ``pip install --no-deps
'PyResistorColorCode>=1.0,<2'``. CI does so; elsewhere this file is skipped, and says why.
"""

from decimal import Decimal
from itertools import product

import pytest

from inventory.holdings.rules.markings import decode

theirs = pytest.importorskip(
    "PyResistorColorCode.ResistorColourCode", reason="pip install --no-deps 'PyResistorColorCode>=1.0,<2'"
)


@pytest.mark.parametrize("first", theirs.COLOUR_NAMES[3:])
def test_every_resistor_of_four_bands(tables, first):
    told = [name for name in theirs.COLOUR_NAMES if theirs.TOLERANCES[name] is not None]
    for second, times in product(theirs.COLOUR_NAMES[2:], theirs.COLOUR_NAMES):
        part = theirs.Resistor(digit1=first, digit2=second, multiplier=times)
        tolerance = told[(len(second) + len(times)) % len(told)]
        reading = decode(f"{first} {second} {times} {tolerance}", tables, "resistor-bands").readings[0]
        assert float(reading.value) == pytest.approx(part.value, rel=1e-12)
        assert reading.tolerance_pct == Decimal(str(theirs.TOLERANCES[tolerance]))


def test_every_colour(tables):
    for name, code in theirs.COLOUR_CODES.items():
        figure, temperature = tables.of("figure", name), tables.of("temperature", name)
        assert (int(figure[0].said) if figure else None) == code.digit
        assert float(tables.of("multiplier", name)[0].said) == pytest.approx(code.multiplier)
        assert (int(temperature[0].said) if temperature else None) == code.temperature_coefficient
