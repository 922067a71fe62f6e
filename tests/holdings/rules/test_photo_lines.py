"""Lines read from a picture: what stands together. The layouts are laid down here (no source: geometry alone)."""

import math

from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.photo_lines import Line, box_of, together
from tests.holdings.photographs import line, upright


def texts(lines):
    return [[one.text for one in group] for group in together(lines)]


def turned(one, degrees, about=(500, 500)):
    """The line on a picture that was turned by so many degrees with the clock."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    moved = [(x - about[0], y - about[1]) for x, y in one.corners]
    return Line(
        one.text, one.score, tuple((about[0] + x * cos - y * sin, about[1] + x * sin + y * cos) for x, y in moved)
    )


STAMP = [line("6SN7GT", top=350), line("NORDLYS", top=300), line("8-44", top=400)]


def test_lines_one_below_the_other_are_one_stamp_from_top_to_bottom():
    assert texts(STAMP) == [["NORDLYS", "6SN7GT", "8-44"]]


def test_what_stands_beside_each_other_is_read_from_left_to_right():
    assert texts([line("-231", left=370), line("VT", left=310)]) == [["VT", "-231"]]


def test_several_tubes_beside_each_other_are_apart():
    shelf = [line("807", left=50), line("6H6", left=400), line("EL34", left=700), line("PHILBY", left=700, top=350)]
    assert texts(shelf) == [["807"], ["6H6"], ["EL34", "PHILBY"]]


def test_two_stamps_far_below_each_other_are_apart():
    assert texts([line("807", top=100), line("6H6", top=600)]) == [["807"], ["6H6"]]


@given(st.integers(-40, 40))
def test_a_tilted_stamp_stands_together_all_the_same(degrees):
    assert texts([turned(one, degrees) for one in STAMP]) == [["NORDLYS", "6SN7GT", "8-44"]]


def test_lines_that_run_down_are_columns_of_one_stamp():
    """Photographed across: the first line of the stamp is the column on the right."""
    found = texts([upright("6SN7GT", left=300), upright("NORDLYS", left=350)])
    assert found == [["NORDLYS", "6SN7GT"]]


def test_nothing_read_is_no_group():
    assert together([]) == [] and together([line("  ")]) == []


def test_the_box_holds_all_corners():
    assert box_of(STAMP) == (300, 300, 468, 440)
