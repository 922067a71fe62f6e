"""An empty house says what to do first; all is well only with what is there (common practice, no source)."""

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import bench_report
from inventory.frontpage.wording.bench import bench_as_json
from tests import factories as make

pytestmark = pytest.mark.django_db

WELL = (
    "called good but was never tested here", "Every companion is with its set", "Everything has its place",
    "No pair of chassis and plug-in unit is due", "No pair waits for its dial",
)  # fmt: skip
LISTS = {
    "/tubes/": ("No tube fits", "No tube is in the register yet"),
    "/running/tubes/": ("No tube fits", "No tube is in the register yet"),
    "/parts/": ("No part lot fits", "No part lot is in the register yet"),
    "/sets/": ("No chassis fits", "No chassis is in the register yet"),
    "/units/": ("No unit fits", "No plug-in unit is in the register yet"),
    "/pairings/": ("No pair fits", "No chassis with a plug-in unit or a companion is here yet"),
    "/tests/": ("No test fits", "No tube was tested yet"),
    "/instruments/": ("No instrument fits", "No instrument is written down yet"),
}


def test_an_empty_house_says_what_to_do_first(as_helper, as_visitor):
    page = as_helper.get("/").content.decode()
    assert "Nothing is in the register yet" in page and "shelf session" in page and "take in a list" in page
    looking = as_visitor.get("/").content.decode()
    assert "Nothing is in the register yet" in looking and "What to do first" not in looking
    for text in (page, looking):
        assert not [words for words in WELL if words in text]


def test_the_command_says_it_too(today, capsys):
    call_command("bench")
    said = capsys.readouterr().out
    assert "What to do first" in said and "import_list" in said and "In use but in doubt" not in said
    assert bench_as_json(bench_report(today))["pairs_due"] == []


def test_all_is_well_only_with_what_is_there(as_visitor):
    make.TubeFactory(place=make.PlaceFactory())
    page = as_visitor.get("/").content.decode()
    assert "Everything has its place" in page and "No tube is fitted in a set here yet" in page
    assert not [words for words in WELL if words in page and words != "Everything has its place"]
    make.FittingFactory(tube__state="good")
    assert "1 fitted tube is called good but was never tested here." in as_visitor.get("/").content.decode()


@pytest.mark.parametrize("address", LISTS)
def test_that_nothing_fits_is_not_said_of_an_empty_register(as_visitor, address):
    fits, none = LISTS[address]
    for asked in ({}, {"text": "QZ"}, {"chassis": "QZ"}):
        text = as_visitor.get(address, asked).content.decode()
        assert none in text and fits not in text


def test_that_nothing_fits_is_said_where_something_is(as_visitor):
    make.TubeFactory(marked="6SN7GT")
    text = as_visitor.get("/tubes/", {"text": "QZ"}).content.decode()
    assert "No tube fits" in text and "No tube is in the register yet" not in text


def test_the_pocket_page_of_an_empty_house_praises_no_set(as_visitor):
    text = as_visitor.get("/pocket/").content.decode()
    assert "No set is in the register yet" in text and "Every set here" not in text
