"""Prices, what was paid and what things are insured for are for helpers and keepers: every door is tried."""

import csv
import io

import pytest
from django.urls import reverse

from inventory.holdings.models import Fact, KeptView
from tests import factories as make
from tests.pages import page_text

pytestmark = pytest.mark.django_db
TOLD = "seen by helpers and keepers alone"
COLUMNS = ("price-paid", "price-asked", "insured-value")


@pytest.fixture
def dear(db):
    """A tube that was paid for, is insured, and was offered; its reading has no figure in common with them."""
    tube = make.TubeFactory(item__tag="T-0001", maker="Tidewell")
    for about, text in (("paid", "4711"), ("asked", "5822"), ("insured", "6933")):
        Fact.objects.create(item=tube.item, about=about, text=f"{text} USD", value=text, currency="USD", per="each")
    Fact.objects.create(item=tube.item, about="reading", text="88 micromho", figure="88", unit="micromho")
    return tube


def shows_money(text):
    return any(figure in text for figure in ("4711", "4,711", "5822", "6933"))


DOORS = [
    ("/tubes/", {"columns": ",".join(COLUMNS)}),
    ("/tubes/", {"group": "maker"}),
    ("/tubes/T-0001/", {}),
    ("/lists/tubes/out/", {}),
    ("/lists/facts/out/", {}),
    ("/api/tubes", {"columns": "price-paid"}),
]


@pytest.mark.parametrize(("address", "asked"), DOORS)
def test_no_door_shows_a_visitor_what_a_helper_sees(dear, as_visitor, as_helper, address, asked):
    def told(client):
        answer = client.get(address, asked)
        return b"".join(answer.streaming_content).decode() if answer.streaming else answer.content.decode()

    assert shows_money(told(as_helper)) and not shows_money(told(as_visitor))


@pytest.mark.parametrize(
    "asked",
    [*({"columns": key} for key in COLUMNS), *({"order": f"-{key}"} for key in COLUMNS),
     {"paid_least": "1"}, {"paid_most": "9999"}, {"currency": "USD"}],
)  # fmt: skip
def test_what_is_asked_all_the_same_is_refused_with_words(dear, as_visitor, as_helper, asked):
    page = as_visitor.get("/tubes/", asked)
    assert TOLD in page_text(page) and page.status_code == 200
    assert TOLD in as_visitor.get("/api/tubes", asked).content.decode()
    assert as_visitor.get("/api/tubes", asked).status_code == 400
    assert as_visitor.get("/lists/tubes/out/", asked).status_code == 422
    assert as_helper.get("/api/tubes", asked).status_code == 200


def test_nothing_of_it_is_offered_to_a_visitor(dear, as_visitor, as_helper):
    def offered(client):
        page = client.get("/tubes/").content.decode()
        return [word for word in ("Paid at least", "Price paid", "Insured value") if word in page]

    assert offered(as_visitor) == [] and len(offered(as_helper)) == 3


def test_the_rest_of_a_list_goes_out_to_a_visitor(dear, as_visitor):
    heading, row = list(csv.reader(io.StringIO(as_visitor.get("/lists/tubes/out/").getvalue().decode())))
    assert "Reading" in heading and "88 micromho" in row and "Price paid" not in heading
    facts = as_visitor.get("/lists/facts/out/").getvalue().decode()
    assert "88 micromho" in facts and "paid" not in facts


def test_words_find_no_price_for_a_visitor(dear, as_visitor, as_helper):
    for text, many in (("4711", 0), ("micromho", 1)):
        assert as_visitor.get("/api/tubes", {"text": text}).json()["count"] == many
    assert as_helper.get("/api/tubes", {"text": "4711"}).json()["count"] == 1


def test_a_shared_view_shows_a_visitor_what_is_left_of_it(dear, as_visitor):
    KeptView.objects.create(
        of_list="tubes", name="dear", query="columns=insured-value,maker&order=-insured-value&group=maker", shared=True
    )
    page = as_visitor.get("/tubes/?columns=insured-value,maker&order=-insured-value")
    assert TOLD in page_text(page) and "T-0001" in page_text(page) and not shows_money(page_text(page))


def test_labels_and_moves_take_no_order_by_price_from_a_visitor(dear, as_visitor, as_keeper):
    handed = {"list": "tubes", "narrowed": "paid_least=4000"}
    assert as_visitor.get(reverse("holdings:label-sheet"), handed).context["form"].initial["tags"] == ""
    assert as_keeper.get(reverse("holdings:label-sheet"), handed).context["form"].initial["tags"] == "T-0001"
