"""Readings beside the test point of a handbook. Rows copied by eye from avo-vdm23; the percentage is arithmetic."""

import pytest

from inventory.running.rules.test_point import other_unit
from inventory.running.rules.test_point import test_point as point_of
from tubes.rules.handbook import BookRow


def row(system=1, gm=2900.0, plate_ma=9.0, electrodes="TT", **more):
    cells = {"plate_v": 250.0, "grid_v": -8.0, "source": "avo-vdm23"} | more
    return BookRow("6SN7", system, electrodes, "octal", plate_ma=plate_ma, gm_umho=gm, **cells)


@pytest.mark.parametrize(
    ("scale", "reading", "figure"), [("micromho", 2175, 2900), ("ma_v", 2.175, 2.9), ("plate_ma", 6.75, 9)]
)
def test_a_reading_in_percent_on_the_scale_of_the_instrument(scale, reading, figure):
    found = point_of([row(), row(2)], scale, "1", reading)
    assert (found.figure, found.percent, found.system) == (figure, pytest.approx(75), 1)
    assert found.text.startswith(f"Indication: 75 % of {figure:g}, handbook test point of 6SN7 at Va 250 V, Vg -8 V")
    assert found.as_dict()["grade"] == "indication"


def test_a_dead_section_has_its_percentage_and_a_far_reading_none():
    """Beyond 3 times no percentage, beyond 10 it was asked about (our choice, no source); 0 of 2900 is 0 %."""
    assert point_of([row()], "micromho", "1", 0).text.startswith("Indication: 0 % of 2900")
    odd, confirmed = (point_of([row()], "ma_v", "1", reading) for reading in (10, 2600))
    assert odd.text.startswith("Odd: more than 3 times 2.9") and odd.as_dict()["percent"] is None
    assert confirmed.text.startswith("Odd, confirmed: more than 3 times 2.9") and "%" not in confirmed.text


def test_of_a_double_tube_the_section_is_asked():
    asked = [point_of([row()], "micromho", section, 2900).text for section in ("", "1")]
    asked.append(point_of([row(electrodes="DP")], "micromho", "", 2900).text)
    assert ["Which section was it?" in text for text in asked] == [True, False, False]


def test_another_unit_is_named_only_where_the_reading_would_lie_near_the_point_in_it():
    told = [other_unit("ma_v", 2000 / 2.9), other_unit("ma_v", 30 / 2.9), other_unit("ma_v", 0.001)]
    told += [other_unit("micromho", 2.5 / 2900), other_unit("micromho", 31_000 / 2900), other_unit("plate_ma", 0.001)]
    assert told == ["micromho", "", "", "mA/V", "", ""]


def test_each_system_has_its_own_and_without_a_section_only_what_all_agree_on():
    two = [row(), row(2, gm=1450.0)]
    assert point_of(two, "micromho", "2", 1450).percent == 100 and point_of(two, "micromho", "1", 1450).percent == 50
    assert point_of(two, "micromho", "", 1450) is None and point_of(two, "micromho", "pentode", 1450) is None
    assert point_of([row(), row(2)], "micromho", "", 1450).percent == 50
    one_row = [row()]  # the handbook tells both triodes of a 6SN7 in one row
    assert [point_of(one_row, "micromho", section, 1450).percent for section in ("1", "2", "")] == [50, 50, 50]


@pytest.mark.parametrize("scale", ["percent", "emission_ma", "scale"])
def test_a_scale_of_its_own_is_no_test_point(scale):
    assert point_of([row()], scale, "", 50) is None


def test_rows_with_a_remark_or_without_the_figure_are_not_used():
    assert point_of([row(remarks="decimal point probably lost in the scan")], "micromho", "", 1) is None
    assert point_of([row(gm=None)], "micromho", "", 1) is None and point_of([], "micromho", "", 1) is None


def test_unlike_sections_never_stand_in_for_each_other():
    """avo-vdm23: 6U8 has one row, its triode's; EEL171 a row of another base with a remark and one that is usable."""
    triode_pentode = [row(electrodes="TP", gm=8500.0, grid_v=-1.0)]
    told = [point_of(triode_pentode, "micromho", section, 5200) for section in ("2", "pentode", "triode", "")]
    assert told == [None] * 4 and point_of(triode_pentode, "micromho", "1", 8500).percent == 100
    doubtful = [row(electrodes="PP", remarks="more pins wired than the base has"), row(2, electrodes="T")]
    assert point_of(doubtful, "micromho", "1", 2900) is None and point_of(doubtful, "micromho", "", 2900) is None
    assert point_of(doubtful, "micromho", "2", 2900).percent == 100


def test_a_section_that_a_tube_cannot_have_has_no_point():
    assert point_of([row()], "micromho", "3", 2900) is None
    pentode = [row(electrodes="DP")]
    assert point_of(pentode, "micromho", "2", 2900) is None and point_of(pentode, "micromho", "", 2900).percent == 100
