"""Readings beside the test point of a handbook. Rows copied by eye from avo-vdm23; the percentage is arithmetic."""

import pytest

from inventory.running.rules.test_point import test_point as point_of
from tubes.rules.handbook import BookRow


def row(system=1, gm=2900.0, plate_ma=9.0, **more):
    cells = {"plate_v": 250.0, "grid_v": -8.0, "source": "avo-vdm23"} | more
    return BookRow("6SN7", system, "TT", "octal", plate_ma=plate_ma, gm_umho=gm, **cells)


@pytest.mark.parametrize(
    ("scale", "reading", "figure"), [("micromho", 2175, 2900), ("ma_v", 2.175, 2.9), ("plate_ma", 6.75, 9)]
)
def test_a_reading_in_percent_on_the_scale_of_the_instrument(scale, reading, figure):
    found = point_of([row(), row(2)], scale, "1", reading)
    assert (found.figure, found.percent, found.system) == (figure, pytest.approx(75), 1)
    assert found.text.startswith(f"Indication: 75 % of {figure:g}, handbook test point of 6SN7 at Va 250 V, Vg -8 V")
    assert found.as_dict()["grade"] == "indication"


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


def unlike(system, gm, **more):
    return BookRow("9Q8", system, "TP", "noval", plate_v=250.0, grid_v=-1.0, gm_umho=gm, source="avo-vdm23", **more)


@pytest.mark.parametrize("section", ["2", "pentode", ""])
def test_the_only_row_of_unlike_systems_serves_its_own_alone(section):
    """6U8 stands in avo-vdm23 with one row, its triode: 100 % of it would be no pentode's (by eye)."""
    assert point_of([unlike(1, 8500.0)], "micromho", section, 5200) is None
    assert point_of([unlike(1, 8500.0)], "micromho", "1", 8500).percent == 100


def test_no_other_row_stands_for_one_with_a_remark():
    """EEL171: the row of one system has lost its decimal point in the scan."""
    for rows in ([unlike(1, 25.0, remarks="lost"), unlike(2, 2500.0)], [row(remarks="lost"), row(2)]):
        assert point_of(rows, "micromho", "1", 2500) is None and point_of(rows, "micromho", "", 2500) is None
        assert point_of(rows, "micromho", "2", 2500) is not None
