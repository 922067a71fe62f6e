"""What the measurement of stamps on made pictures counts; the reader of print is a stand-in."""

import pytest
from PIL import Image

from inventory.demo.actions.stamp_pictures import MadePicture, Stamp
from inventory.demo.management.commands.measure_photos import Told, _count
from inventory.holdings.queries.stamp_photo import read_photo
from tests.holdings.photographs import StandIn, line
from tubes.queries import knowledge

pytestmark = pytest.mark.django_db


def counted(lines, *types):
    told, found = Told(), read_photo(Image.new("RGB", (1000, 1000)), StandIn(lines))
    stamps = tuple(Stamp((name,), name) for name in types)
    _count(told, 0, MadePicture(b"", stamps, "light", ()), found, knowledge())
    return told.as_dict()


def test_a_type_that_stands_nowhere_is_counted_though_the_right_one_is_first(reference):
    told = counted([line("807", 50), line("6H6", 600)], "807")
    assert (told["right"], told["phantoms"], told["phantoms_clear"]) == (1, 1, 1)


def test_one_candidate_is_one_thing(reference):
    told = counted([line("807", 300)], "807", "807")
    assert (told["things"], told["right"], told["not_read"], told["phantoms"]) == (2, 1, 1, 0)


def test_a_wrong_type_said_to_be_clear(reference):
    told = counted([line("6H6", 300)], "807")
    assert (told["wrong_though_clear"], told["phantoms_clear"]) == (1, 1)
