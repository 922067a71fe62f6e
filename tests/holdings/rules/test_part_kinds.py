"""What the words on a lot sound like. Common practice, no source; the units are those of ``tubes.rules.units``."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.part_kinds import PART_KINDS, PartFigures, falls_short, sounds_like

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


def relay(words="", volts=None, marked=""):
    return PartFigures("relay", volts=volts, words=words, marked=marked)


@pytest.mark.parametrize(
    ("wanted", "offered", "short"),
    [
        # Where no value says what a part is its words do, and a coil works at its voltage (common practice, no source).
        (relay("24 V coil"), relay("coil 24 V, DPDT"), ()),
        (relay("24 V coil"), relay("coil 110 V"), ("nothing on it says 24",)),
        (relay("24 V coil"), relay(), ("nothing on it says 24, V, coil",)),
        (relay("octal"), relay("antenna", marked="octal plug-in"), ()),
        (relay(volts=24.0), relay(volts=28.0), ()),
        (relay(volts=24.0), relay(volts=110.0), ("works at 110 V",)),
        (relay(volts=24.0), relay(volts=12.0), ("works at 12 V",)),
        (relay(volts=24.0), relay(), ("what it works at is not known in V",)),
        (PartFigures("knob", words="1/4 in shaft"), PartFigures("knob", words="bar, shaft 1/4 in"), ()),
        (relay("24 V coil"), relay("coil", 24.0), ()),
        (PartFigures("knob", words="1/4 in shaft"), PartFigures("knob", words="shaft 6 mm"),
         ("nothing on it says 1/4, in",)),
        (PartFigures("switch", volts=125.0), PartFigures("switch", volts=250.0), ()),
        (PartFigures("resistor", 270.0, words="tapped"), PartFigures("resistor", 270.0), ()),
        (PartFigures("relay"), PartFigures("inductor"), ("an inductor, no relay",)),
    ],
)  # fmt: skip
def test_what_is_short_of_a_part_without_a_value(wanted, offered, short):
    assert falls_short(wanted, offered) == short


@given(st.sampled_from(PART_KINDS), st.text(max_size=40), st.floats(1e-3, 1e9))
def test_any_words_are_read(kind, words, value):
    wanted = PartFigures(kind.key, value if kind.unit else None)
    assert sounds_like(wanted, f"{kind.key} {words}") in ((True, False) if kind.unit else (True,))
