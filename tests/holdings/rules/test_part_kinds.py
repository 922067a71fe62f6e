"""What the words on a lot sound like. Common practice, no source; the units are those of ``tubes.rules.units``."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.part_kinds import PART_KINDS, PartFigures, sounds_like

WANTED = PartFigures("capacitor", 50_000.0, volts=400.0, construction="paper")  # 0.05 mfd


@pytest.mark.parametrize(
    ("wanted", "words", "sounds"),
    [
        (WANTED, "capacitor 0.05 mfd 600 V", True),
        (WANTED, "Capacitors, paper 0.05mfd", True),
        (WANTED, "condenser 50000 pF", True),
        (WANTED, "capacitor 0.5 mfd 600 V", False),
        (WANTED, "capacitor", False),
        (WANTED, "resistor 0.05 mfd", False),
        (PartFigures("capacitor", 50_000.0, tolerance_pct=20.0), "capacitor 0.047 mfd", True),
        (PartFigures("capacitor", 50_000.0, tolerance_pct=5.0), "capacitor 0.047 mfd", False),
        (PartFigures("resistor", 270_000.0), "resistor 270 kohm 1 W", True),
        (PartFigures("knob"), "bar knob, black", True),
        (PartFigures("knob"), "cord", False),
    ],
)
def test_what_sounds_like_it(wanted, words, sounds):
    assert sounds_like(wanted, words) is sounds


@given(st.sampled_from(PART_KINDS), st.text(max_size=40), st.floats(1e-3, 1e9))
def test_any_words_are_read(kind, words, value):
    wanted = PartFigures(kind.key, value if kind.unit else None)
    assert sounds_like(wanted, f"{kind.key} {words}") in ((True, False) if kind.unit else (True,))
