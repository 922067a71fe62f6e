"""The real reader of print on a handful of made pictures. Skipped where the extra is not installed."""

import io

import numpy as np
import pytest
from PIL import Image

from inventory.demo.actions.stamp_pictures import Stamp, made_picture
from inventory.holdings.queries import photo_engine
from inventory.holdings.queries.stamp_photo import read_photo
from inventory.holdings.rules.photo_candidates import Against

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.worked_out,
    pytest.mark.skipif(
        not photo_engine.is_installed(), reason="no reader of print is installed (pip install '.[photo]')"
    ),
]


@pytest.fixture(scope="module")
def reader():
    with photo_engine.engine() as engine:
        yield engine


def photograph(*stamps, seed=3, turn=0):
    made = made_picture(tuple(Stamp(lines, "") for lines in stamps), "light", np.random.default_rng(seed))
    return Image.open(io.BytesIO(made.jpeg)).convert("RGB").rotate(turn, expand=True)


def test_a_stamp_with_maker_and_date(reference, reader):
    (one,) = read_photo(photograph(("NORDLYS", "6SN7GT", "8-44")), reader).proposed
    assert one.reading.type.name == "6SN7GT" and one.candidate.clear and one.date_code == "8-44"


def test_a_picture_taken_across(reference, reader):
    (one,) = read_photo(photograph(("VT-231",), turn=90), reader).proposed
    assert one.reading.type.name == "6SN7GT"


def test_cyrillic_with_latin_twins(reference, reader):
    """6Н8С is read as 6H8C, which the stamp reader knows as that (a row of the tables)."""
    (one,) = read_photo(photograph(("6Н8С",)), reader).proposed
    assert one.reading.type.name == "6SN7GT"


def test_cyrillic_without_a_twin_is_never_clear(reference, reader):
    (one,) = read_photo(photograph(("6Ж4",)), reader).proposed
    assert not one.candidate.clear and Against.CYRILLIC in one.candidate.against
    assert "6AC7" in [other.type for other in one.candidate.others]


def test_two_tubes_beside_each_other(reference, reader):
    found = read_photo(photograph(("807",), ("EL34",)), reader)
    assert [one.candidate.text for one in found.proposed] == ["807", "EL34"]


def test_bare_glass_is_told_as_not_read(reference, reader):
    found = read_photo(Image.new("RGB", (400, 400), "#444444"), reader)
    assert found.proposed == () and "No print could be read" in found.told
