"""Words that lists and the search box look for: however many are typed, the database is asked a bounded question."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.frontpage.queries import search_all
from inventory.house.search import LONGEST, MOST_WORDS, words_of
from inventory.sets.filters import ChassisFilter
from inventory.sets.queries import chassis_here
from tests import factories as make
from tests.commands import refused
from tests.counting import statements
from tests.pages import page_text

LISTS = ["/sets/", "/units/", "/parts/", "/tubes/", "/wants/", "/tests/", "/instruments/", "/lists/movements/out/"]
SAME = "ab " * 1500
MANY = " ".join(f"gull{number}" for number in range(1500))
ONE = "a" * 60_000  # a database compares with less


def conditions(sent):
    return sum(statement.upper().count("LIKE") for statement in sent)


@given(st.text())
def test_words_are_different_ones_of_the_text_in_their_order(text):
    words = words_of(text)
    assert len(words) <= MOST_WORDS
    assert len({word.casefold() for word in words}) == len(words)
    at = [text.replace("\0", "").split().index(word) for word in words]
    assert at == sorted(at)


def test_words_that_are_typed_twice_are_asked_once():
    assert words_of("Gull gull \0NEST gull nest") == ["Gull", "NEST"]


@pytest.mark.django_db
@pytest.mark.parametrize("text", [SAME, MANY, ONE])
@pytest.mark.parametrize("address", LISTS)
def test_a_list_says_that_a_text_is_too_long(as_visitor, reference, address, text):
    sent = statements(lambda: page_text(as_visitor.get(address, {"text": text})))
    assert conditions(sent) < 300
    told = page_text(as_visitor.get(address, {"text": text}))
    assert "at most 200 fit: shorten it." in told


@pytest.mark.django_db
def test_a_list_says_that_words_are_too_many(as_visitor, reference):
    text = " ".join(f"w{number}" for number in range(MOST_WORDS + 1))
    for address in LISTS:
        assert f"11 different words; name at most {MOST_WORDS}" in page_text(as_visitor.get(address, {"text": text}))
    answer = as_visitor.get("/api/tubes", {"text": text})
    assert answer.status_code == 400 and "11 different words" in answer.json()["errors"]["text"][0]


@pytest.mark.django_db
def test_as_many_words_as_a_list_takes_all_count(today):
    words = [f"w{number}" for number in range(MOST_WORDS)]
    bearing = make.ChassisFactory(note=" ".join(words))
    make.ChassisFactory(note=" ".join(words[:-1]))
    found = ChassisFilter({"text": " ".join([*words, *words]).upper()}, queryset=chassis_here())
    assert list(found.qs) == [bearing]


@pytest.mark.django_db
@pytest.mark.parametrize("text", [SAME, MANY, ONE])
@pytest.mark.parametrize(("address", "name"), [("/look-up/", "q"), ("/pocket/", "q"), ("/api/lookup", "text")])
def test_the_search_box_takes_any_text(as_visitor, reference, address, name, text):
    answers = []
    sent = statements(lambda: answers.append(as_visitor.get(address, {name: text})))
    assert answers[0].status_code in (200, 400)  # 400: what it names is no stamp and nothing here
    assert conditions(sent) < 300


@pytest.mark.django_db
@pytest.mark.parametrize("text", [MANY, ONE])
def test_the_command_takes_any_text(reference, text):
    assert "longer than 200 characters" in refused("lookup", text)


@pytest.mark.django_db
def test_a_long_name_is_found_by_its_first_words():
    words = " ".join(f"gull{number}" for number in range(MOST_WORDS + 1))
    place = make.PlaceFactory(code="G", name=words[:80])
    assert [row.name for one in search_all(words[:80]) for row in one.rows] == [place.path]
    assert search_all("gull " * LONGEST) == ()


@pytest.mark.django_db
def test_labels_of_a_list_narrowed_by_too_much_are_refused(as_keeper, reference):
    make.TubeFactory()
    data = {"tags": "", "narrowed": "text=" + "+".join(MANY.split()[:20]), "of": "things", "sheet": "a4-24-gap"}
    answer = as_keeper.post("/labels/", {**data, "start": 1, "copies": 1})
    assert answer.status_code == 422 and "narrow it again" in page_text(answer)
