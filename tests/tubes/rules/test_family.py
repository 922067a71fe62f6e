"""Family numbers and the letters of forms.

The letters are those of the American list (tcuk-retma: "American RETMA designation system", and the suffix letters of
wiki-list): G, GT, M, S, L, A to F, W, X, Y. Which numbers are tubes of their own is common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tubes.rules.family import form_of, is_form_of

FORMS = {
    "6SN7": ("6SN7GT", "6SN7GTA", "6SN7GTB", "6SN7W", "6SN7WGT", "6sn7-gta", "6SN7 GT/G"),
    "6SK7": ("6SK7GT", "6SK7G", "6SK7W", "6SK7GT/G"),
    "6V6": ("6V6G", "6V6GT", "6V6GTA", "6V6GTY", "6V6GT/G"),
    "5U4": ("5U4G", "5U4GA", "5U4GB", "5U4WGB"),
    "5R4": ("5R4GY", "5R4WGY", "5R4GYB"),
    "6L6": ("6L6G", "6L6GA", "6L6GB", "6L6GC", "6L6WGB", "6L6GAY"),
    "12SX7": ("12SX7GT",),
    "EL3": ("EL3N", "EL3G"),
    "4-125": ("4-125A",),
    "1E5": ("1E5GP",),
}
OTHERS = [
    ("6SN70", "6SN7"), ("6SN7GT", "6S"), ("6SA7", "6S"), ("6SN7GT", "6SN7G"), ("EL34", "EL3"), ("EL33", "EL3"),
    ("E80CC", "E80"), ("E80F", "E80"), ("100TH", "100"), ("304TL", "304"), ("HL23DD", "HL23"), ("6SN7GT", "6SN7GT"),
    ("16SN7GT", "6SN7"), ("12SN7GT", "2SN7"), ("6SN7XYZ", "6SN7"), ("5B", "5"), ("6SN7GT", ""), ("", ""),
]  # fmt: skip


@pytest.mark.parametrize("number", FORMS)
def test_the_forms_of_a_family(number):
    assert [name for name in FORMS[number] if not is_form_of(name, number)] == []


@pytest.mark.parametrize(("name", "number"), OTHERS)
def test_what_is_no_form(name, number):
    assert not is_form_of(name, number)


@given(some.text(max_size=20))
def test_a_form_is_longer_than_its_number_and_ends_in_letters(text):
    found = form_of(text)
    if found:
        assert found[0][-1].isdigit() and found[1].isalpha() and form_of(found[0]) is None
        assert is_form_of(text, found[0])
