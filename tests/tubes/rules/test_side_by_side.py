"""Figures beside each other: what is the same, what differs and by how much, what nobody knows."""

import pytest

from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.side_by_side import DIFFERS, FIRST, SAME, UNCOMPARED, UNKNOWN, side_by_side

ONE = TypeFigures("ZZ1", {"heater_v": Figure(6.0, "text", "book"), "mu": Figure(20)}, {"base": Word("octal")})
TWO = TypeFigures(
    "ZZ2", {"heater_v": Figure(6.3, "memory", "from memory", "ZZ1"), "gm_umho": Figure(10)}, {"base": Word("noval")}
)


def line(figure, *types):
    return next(one for one in side_by_side(types) if one.figure == figure)


def test_numbers_words_and_what_is_not_known():
    heater = line("heater_v", ONE, TWO)
    assert [one.standing for one in heater.entries] == [FIRST, DIFFERS] and heater.differs
    assert (heater.entries[1].by, heater.entries[1].grade, heater.entries[1].of) == ("+5 %", "memory", "ZZ1")
    assert [one.standing for one in line("base", ONE, TWO).entries] == [FIRST, DIFFERS]
    mu = line("mu", ONE, TWO)
    assert [(one.value, one.standing) for one in mu.entries] == [(20, FIRST), (None, UNKNOWN)] and not mu.differs
    assert line("gm_umho", ONE, TWO).entries[1].standing == UNCOMPARED
    assert [one.standing for one in line("base", ONE, ONE).entries] == [FIRST, SAME]


def test_what_is_known_of_none_takes_no_line():
    assert [one.figure for one in side_by_side([ONE, TWO])] == ["base", "heater_v", "mu", "gm_umho"]


@pytest.mark.parametrize(("value", "told"), [(3.0, "\u221250 %"), (6.6, "+10 %"), (24.0, "4 times"), (6.0, "")])
def test_by_how_much(value, told):
    entry = line("heater_v", ONE, TypeFigures("ZZ3", {"heater_v": Figure(value)})).entries[1]
    assert entry.by == told


def test_cutoff_and_bias_stand_beside_each_other():
    """From memory: 6SK7 remote, 6SJ7 sharp cutoff; only the 838 of the two triodes works without bias."""
    remote, sharp = (TypeFigures(name, {}, {"cutoff": Word(name)}) for name in ("remote", "sharp"))
    assert line("cutoff", remote, sharp).differs
    assert line("bias", TypeFigures("838", {}, {"bias": Word("zero-bias class B")}), ONE).entries[1].standing == UNKNOWN
