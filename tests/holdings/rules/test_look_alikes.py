"""Signs that look alike, and Cyrillic letters that a Latin reader cannot give."""

import pytest

from inventory.holdings.rules.look_alikes import dated, number_like, one_sign_other, unread_letters


@pytest.mark.parametrize(
    ("read", "meant"), [("65N7GT", "6SN7GT"), ("B07", "807"), ("VT-23I", "VT-231"), ("532A", "832A")]
)
def test_a_sign_that_looks_alike_is_among_the_others(read, meant):
    """Pairs seen on worn print; from memory and from made pictures."""
    assert meant in list(one_sign_other(read))


def test_words_without_a_figure_are_left_alone():
    assert list(one_sign_other("SOLID BOX")) == []


@pytest.mark.parametrize(
    ("read", "meant"),
    [("6K4", "6Ж4"), ("6n3C", "6П3С"), ("12K8", "12Ж8"), ("6X6C", "6Х6С"), ("6713C", "6П3С"), ("6I13C", "6П3С")],
)
def test_a_soviet_number_may_have_a_letter_that_was_not_read(read, meant):
    """GOST 13393-76: figure, letter, figure, letter of the envelope."""
    assert meant in list(unread_letters(read))


@pytest.mark.parametrize("read", ["6SK7", "EK90", "K6", "VT-60", "KK32", "813"])
def test_what_has_not_that_form_is_none(read):
    assert list(unread_letters(read)) == []


def test_what_may_be_a_number():
    assert number_like("6H6") and number_like("NORDLYS 807")
    assert not number_like("NORDLYS") and not number_like("8-44") and not number_like("1 EACH")


@pytest.mark.parametrize(
    ("left", "date"), [("ORRELL 43-12", "43-12"), ("8/44", "8/44"), ("8-44 9-45", ""), ("PACKED", ""), ("", "")]
)
def test_a_date_code_beside_a_number(left, date):
    assert dated(left) == date
