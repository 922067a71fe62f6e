"""Rules that a wrong figure breaks, on made types; and the real tables, of which every finding is named."""

from tests.tubes.rules.bench import bench, rated
from tubes.rules.figures import Figure, TypeFigures, Word, known_type
from tubes.rules.plausible import implausible
from tubes.rules.relations import kinship
from tubes.rules.sources import DERIVED
from tubes.rules.stamp import DesignationRow

TRIODE = {"kind": Word("triode"), "cathode": Word("oxide-indirect")}


def found(*types, rows=()):
    kin = kinship(list(rows), [one.name for one in types])
    return [(one.rule, one.types) for one in implausible(types, kin)]


def made(name, **values):
    return TypeFigures(name, {key: Figure(value) for key, value in values.items()}, TRIODE)


def test_gain_is_transconductance_times_plate_resistance():
    """mu = gm rp: 2600 micromho x 7700 ohm = 20 (6J5, RCA receiving tubes, from memory)."""
    assert found(made("9Q9", mu=20, gm_umho=2600, rp_ohm=7700)) == []
    assert found(made("9Q9", mu=20, gm_umho=2600, rp_ohm=77000)) == [("gm x rp = mu", ("9Q9",))]


def test_a_number_promises_its_heater_volts():
    """tcuk-retma, liqui-vt: 6 for 6.3 V, 12 for 12.6 V, E for 6.3 V, P for 0.3 A in series; 7 for 6.3 V of loctals."""
    for right in (("6SN7", 6.3), ("12AU7", 12.6), ("7N7", 6.3), ("1H4", 2.0), ("117Z3", 117), ("EL84", 6.3)):
        assert found(made(right[0], heater_v=right[1])) == []
    for wrong in (("6SN7", 12.6), ("12AU7", 6.3), ("EL84", 4.0), ("KL4", 2.0)):
        assert bool(found(made(wrong[0], heater_v=wrong[1]))) == (wrong[0] != "KL4")
    assert found(made("PL84", heater_v=15, heater_a=0.3)) == [] != found(made("PL84", heater_v=15, heater_a=0.15))
    assert found(made("2C39", heater_v=6.3)) == []  # a letter and two figures: no volts


def test_close_kin_are_of_one_size():
    row = DesignationRow("9Q9", "maker", "9Q9W", "ruggedized")
    one, other = made("9Q9", heater_v=9, heater_a=0.3), made("9Q9W", heater_v=9, heater_a=0.9)
    assert found(one, other, rows=[row]) == [("size of kin", ("9Q9", "9Q9W"))]
    assert found(one, made("9Q9W", heater_v=9, heater_a=0.4), rows=[row]) == []


def test_the_real_tables():
    """9D2 is a British maker's number, whose first figure tells no volts."""
    told = {(one.rule, one.types) for one in implausible(rated().values(), bench().kin)}
    assert told == {("heater volts of the number", ("9D2",))}


def test_a_derived_figure_is_marked_so():
    """12 / 3900 ohm = 3080 micromho (211: vinylsavor-845)."""
    figure = rated()["211"].numbers["gm_umho"]
    assert (figure.value, figure.grade) == (3080, DERIVED)
    stated = known_type("9Q9", {"mu": Figure(20), "rp_ohm": Figure(7700), "gm_umho": Figure(2500)}, TRIODE)
    assert stated.number("gm_umho") == 2500
