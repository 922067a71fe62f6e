"""The page that reads marks: by text, by pictures that are pressed, and what is taken over to a new part lot."""

import re
from html import unescape
from itertools import product
from urllib.parse import parse_qs, urlsplit

import pytest

from inventory.holdings.models import PartLot
from inventory.holdings.queries.markings import marking_tables, read_marking
from inventory.holdings.wording.marking_pictures import STARTS, pictures, places_of, resized
from tests.pages import page_text

PAGE, API = "/parts/decode/", "/api/markings"
COLOURS = "black brown red orange yellow green blue violet grey white".split()


def links(answer):
    return [unescape(link) for link in re.findall(r'href="([^"]*)"', answer.content.decode()) if PAGE in link]


def texts(link):
    return parse_qs(urlsplit(link).query).get("text", [])


@pytest.mark.django_db
def test_readings_stand_beside_each_other_with_their_reasons(as_visitor):
    """L7.8 of the rules' tests: blue as tolerance is disputed."""
    told = page_text(as_visitor.get(PAGE, {"text": "white brown red none blue red"}))
    assert "2 readings; none is chosen" in told and told.count("0.0012 mfd (1200 pF)</h3>") == 2
    assert "Tolerance blue: so the Army subcourse." in told and "not defined in the table of the list post." in told
    assert "A measured value always overrides a marking" in told and "discharged and proved dead" in told


@pytest.mark.django_db
def test_every_colour_stands_beside_its_place_in_words(as_visitor):
    told = page_text(as_visitor.get(PAGE, {"text": "yellow violet orange silver", "kind": "resistor-bands"}))
    for place, colour, means in (
        ("first figure", "yellow", "4"), ("second figure", "violet", "7"), ("multiplier", "orange", "times 1000"),
        ("tolerance", "silver", "10 %"),
    ):  # fmt: skip
        assert f'aria-label="Change the {place}, now {colour}"' in told
        assert f'{place}: <strong>{colour}</strong> <span class="faint">{means}</span>' in told
        assert f">{colour}</text>" in told
    assert 'Read as <strong class="figure">47 kohm 10 %</strong>' in told


@pytest.mark.django_db
def test_a_band_is_pressed_and_changed_without_a_script(as_visitor):
    """L7.3: yellow violet orange silver is 47 kohm; with a multiplier of yellow 470 kohm."""
    first = as_visitor.get(PAGE, {"text": "yellow violet orange silver", "kind": "resistor-bands"})
    (to_multiplier,) = [link for link in links(first) if "at=2" in link]
    offered = as_visitor.get(to_multiplier)
    assert "Choose the colour of the multiplier below" in page_text(offered)
    (to_yellow,) = [link for link in links(offered) if "yellow violet yellow silver" in texts(link)]
    assert "470 kohm 10 %" in page_text(as_visitor.get(to_yellow))


@pytest.mark.django_db
def test_every_link_of_the_page_reads(as_visitor):
    """Also where a colour is offered for a place: it is offered only where the marking is one with it."""
    ahead = [f"{PAGE}?kind={kind}&text={text}" for kind, text in STARTS.items()]
    seen = set(ahead)
    for step in range(2):
        found = {link for address in ahead for link in links(as_visitor.get(address)) if texts(link)} - seen
        assert len(found) > (15, 100)[step]
        for link in found:
            query = parse_qs(urlsplit(link).query)
            assert read_marking(query["text"][0], query["kind"][0]).readings, link
        seen |= found
        ahead = [link for link in found if "at=" in link]


def test_other_numbers_of_bands_keep_the_value_where_figures_allow():
    for first, second, times in product(COLOURS[1:], COLOURS, COLOURS):
        bands = (first, second, times, "gold")
        value = read_marking(" ".join(bands), "resistor-bands").readings[0].value
        for many in (3, 5, 6):
            other = resized(bands, many)
            assert len(other) == many == len(places_of("resistor-bands", many))
            assert read_marking(" ".join(other), "resistor-bands").readings[0].value == value
            assert resized(resized(bands, 6), many)[: many - 1] == other[: many - 1]


@pytest.mark.parametrize("at", [None, 0, 3, 99])
def test_pictures_of_what_is_no_marking(at):
    assert pictures("dk blue red", ["resistor-bands"], at, marking_tables()) == []
    assert pictures("4K7", ["resistor-bands"], at, marking_tables()) == []
    assert len(pictures("gold gold gold", ["resistor-bands"], at, marking_tables())) == 1  # to be put right


@pytest.mark.django_db
@pytest.mark.parametrize(
    "query", ["text=zz+top", "text=dk+blue", "at=x&text=red+red+red", "kind=wire&text=red+red+red", "at=1"]
)
def test_what_cannot_be_read_is_told(as_visitor, query):
    assert as_visitor.get(f"{PAGE}?{query}").status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("query", ["text=" + "9" * 121, "kind=zz&text=4K7"])
def test_what_is_no_question_is_refused(as_visitor, query):
    assert as_visitor.get(f"{PAGE}?{query}").status_code == 422
    answer = as_visitor.get(f"{API}?{query}")
    assert answer.status_code == 400 and list(answer.json()["errors"]) == [
        "text" if query.startswith("text") else "kind"
    ]


@pytest.mark.django_db
def test_a_reading_is_taken_over_into_a_new_part_lot(as_keeper, as_visitor):
    """L7.4: RC20BF103K is 10 kohm, 10 %, 0.5 W."""
    assert "Add a part lot of it" not in page_text(as_visitor.get(PAGE, {"text": "RC20BF103K"}))
    page = as_keeper.get(PAGE, {"text": "RC20BF103K"}).content.decode()
    (link,) = (unescape(one) for one in re.findall(r'href="(/parts/add/[^"]*)"', page))
    form = as_keeper.get(link).context["form"]
    assert (form["name"].value(), form["value"].value()) == ("resistor", "10 kohm 10 % 0.5 W")
    assert "RC20BF103K" in form["note"].value()
    sent = {name: form[name].value() or "" for name in ("name", "value", "note")} | {"duds": "0"}
    assert as_keeper.post("/parts/add/", sent).status_code == 302
    assert PartLot.objects.get().value == "10 kohm 10 % 0.5 W"


@pytest.mark.django_db
def test_the_ways_to_it(as_keeper):
    assert PAGE in as_keeper.get("/parts/").content.decode() and PAGE in as_keeper.get("/parts/add/").content.decode()


@pytest.mark.django_db
def test_as_json(as_visitor):
    answer = as_visitor.get(API, {"text": "CM20B103K", "kind": "type-designation"}).json()
    assert answer == read_marking("CM20B103K", "type-designation").as_dict()
    assert as_visitor.get(API).status_code == 400
