"""What the null finder says beside its figures, whose sources stand in ``tests/pairing/rules/test_null.py``."""

import pytest
from django.urls import reverse

from inventory.pairing.rules.null import find_null
from inventory.pairing.rules.null_fit import NullReading, NullRefused
from inventory.pairing.rules.null_next import suggest_next
from tests.pages import page_text


def readings(*rows):
    return [NullReading(float(setting), float(reading)) for setting, reading in rows]


def test_flat_readings_do_not_send_to_the_end_of_a_dial_that_is_not_known():
    flat = readings((10, 5), (20, 6), (30, 5), (40, 6))
    assert suggest_next(flat) == 25  # one of the lowest was read on both sides of: into the gap beside it
    falling = readings((10, 5), (20, 6), (30, 6), (40, 6))
    assert suggest_next(falling) == 5  # towards where it falls, on the dial however that begins
    assert suggest_next(falling, low=0.0, high=100.0) == 0


@pytest.mark.parametrize(
    ("low", "high", "told"), [(0.0, 40.0, "(0 to 40)"), (None, 40.0, "(to 40)"), (50.0, None, "(from 50)")]
)
def test_a_setting_off_the_dial_is_named_once(low, high, told):
    with pytest.raises(NullRefused) as refusal:
        find_null(readings((46, 5), (47, 4), (48, 5)), low=low, high=high)
    assert str(refusal.value) == f"setting 46 is not on the dial {told}"


def test_a_setting_off_the_dial_in_a_file_is_named_with_its_line():
    rows = [NullReading(48.0, 5.0, where="line 3")]
    with pytest.raises(NullRefused, match=r"^line 3: setting 48 is not on the dial \(0 to 40\)$"):
        find_null(rows, low=0.0, high=40.0)


def test_readings_on_one_side_are_not_called_a_shallow_null():
    found = find_null(readings((10, 50), (12, 45), (14, 41)))
    assert not found.inside and any("on one side" in text for text in found.warnings)
    assert not any("Shallow" in text or "stray coupling" in text for text in found.warnings)


def test_no_warning_begins_with_what_follows_from_nothing():
    """The null of the plain curve lies off the lowest reading: that is said before what is made of it."""
    rows = readings((10, 31.6), (20, 51.2), (30, 35.5), (40, 23.9), (50, 11.6), (60, 1.6), (70, 16.6))
    told = find_null(rows).warnings
    before = "The null of the curve through all readings, 57.26, lies off the lowest reading, at 60. So the readings"
    assert any(text.startswith(before) for text in told) and not any(text.startswith("So ") for text in told)


@pytest.mark.django_db
def test_the_ends_of_the_dial_are_asked_for_where_they_lack(as_visitor):
    asked = "Give the ends of the dial"
    address, two = reverse("pairing:null-finder"), {"readings": "10 5", "scale": "linear"}
    assert asked in page_text(as_visitor.get(address, two))
    off = as_visitor.get(address, {"readings": "48 5", "low": "0", "high": "40", "scale": "linear"})
    assert "setting 48 is not on the dial" in page_text(off) and asked not in page_text(off)
