"""The want list: what is looked for and its top price, on its own page, the pocket page and its saved copy.

Things, sets and people are invented. Currency codes: ISO 4217.
"""

import json
import re
from datetime import date
from decimal import Decimal

import pytest

from inventory.frontpage.queries import pocket_answer
from inventory.holdings.actions import save_want, settle_want
from inventory.holdings.models import Want
from inventory.holdings.queries import open_wants, wants_by_type, wants_in_words
from tests.counting import asked
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


@pytest.fixture
def want(reference, keeper, today):
    """``want("VT-231", top_price="9.50", currency="GBP")``: put on the list by the keeper."""

    def put(thing, besides=False, **more):
        return save_want(Want(thing=thing, **{"since": today} | more), today=today, by=keeper, besides=besides)

    return put


def test_a_number_with_one_meaning_names_the_type(want):
    assert want("VT-231").type.name == "6SN7GT"
    assert want("calibration book of Ostercape 0458").type is None


def test_a_number_with_two_meanings_names_none(want):
    """VT-60 is an 850 in the Signal Corps' numbers and VT60 an 807 in the Royal Air Force's: designations.csv."""
    assert want("VT-60").type is None
    chosen = want("VT-60", type=TubeType.objects.get(name="850"))
    assert chosen.type.name == "850"


def test_a_price_needs_its_currency(want, refused):
    with refused("currency", "nothing is converted"):
        want("VT-231", top_price="9.50")
    assert want("807", top_price="9.50", currency="GBP").price_text == "GBP 9.50 each"
    with refused("currency", "EUA is no currency code of ISO 4217"):
        want("6SJ7", top_price="9.50", currency="EUA")
    assert want("6SJ7", top_price="20", currency="DEM").price_text == "DEM 20 each"
    assert want("838", currency="GBP").currency == ""  # a currency of no price says nothing


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("quantity", 0), ("quantity", 10**11), ("since", date(2999, 1, 1)), ("since", date(1066, 10, 14)),
        ("top_price", "-1"), ("top_price", "0"), ("currency", "pounds"), ("currency", "EUA"), ("thing", "  "),
    ],
)  # fmt: skip
def test_what_cannot_be(want, refused, field, value):
    more = {"thing": "807", "top_price": "1", "currency": "GBP"} | {field: value}
    with refused(field):
        want(**more)
    assert not Want.objects.exists()


def test_settled_stays_readable_and_is_changed_no_more(want, keeper, today, refused):
    row = want("VT-231")
    with refused("why", "Say why"):
        settle_want(row, " ", by=keeper)
    settle_want(row, "bought at the Ebb Street meet", by=keeper)
    assert not open_wants().exists() and not wants_by_type()
    with refused("why", "settled already"):
        settle_want(row, "again", by=keeper)
    row.refresh_from_db()
    with refused("thing", "settled already"):
        save_want(row, today=today, by=keeper)
    assert [kept.settled for kept in row.history.all()] == ["bought at the Ebb Street meet", ""]


def test_things_are_found_by_all_their_words(want):
    book = want("calibration book of Ostercape 0458")
    want("6SN7GT")
    assert wants_in_words("book 0458") == [book]
    assert wants_in_words("book 1733") == wants_in_words("of") == wants_in_words("") == []


def test_the_pocket_page_tells_the_top_price_under_any_number(want, as_helper, today):
    want("VT-231", top_price=Decimal("9.50"), currency="GBP", quantity=4, purpose="Ostercape TX 5")
    for number in ("6SN7GT", "VT-231", "CV1988"):
        (match,) = pocket_answer(number, today).matches
        assert match.price == "GBP 9.50 each; 4 wanted for Ostercape TX 5"
        assert match.price in as_helper.get("/pocket/", {"q": number}).content.decode()
    assert pocket_answer("807", today).matches[0].price == "not on the want list"
    want("calibration book of Ostercape 0458", top_price=40, currency="GBP")
    assert "calibration book of Ostercape 0458" in as_helper.get("/pocket/", {"q": "book 0458"}).content.decode()


def test_the_saved_copy_tells_the_same(want, as_helper, today):
    want("VT-231", top_price=Decimal("9.50"), currency="GBP")
    want("calibration book of Ostercape 0458")
    text = as_helper.get("/pocket/saved-copy/", {"file": "1"}).content.decode()
    (inside,) = re.findall(r'<script id="data" type="application/json">(.*?)</script>', text, re.S)
    data = json.loads(inside)
    (row,) = (row for row in data["types"] if "6SN7GT" in row["names"])
    assert row["price"] == pocket_answer("VT-231", today).matches[0].price
    assert data["things"] == [["calibration book of Ostercape 0458", "no price set; 1 wanted"]]


def test_the_page_and_its_list_out(want, as_keeper, keeper):
    want("VT-231", top_price=Decimal("9.50"), currency="GBP", purpose="Ostercape TX 5")
    settle_want(want("807"), "given by a friend", by=keeper)
    page = as_keeper.get("/wants/").content.decode()
    assert "GBP 9.50 each" in page and "given by a friend" not in page
    assert "given by a friend" in as_keeper.get("/wants/", {"settled": "yes"}).content.decode()
    assert "VT-231" in as_keeper.get("/wants/", {"type": "CV1988"}).content.decode()
    out = b"".join(as_keeper.get("/lists/wants/out/", {"as": "csv", "text": "Ostercape"}).streaming_content).decode()
    assert out.splitlines()[1].startswith("VT-231,6SN7GT,1,9.50,GBP,Ostercape TX 5")


def test_roles(as_visitor, as_helper, want):
    row = want("VT-231")
    assert as_visitor.get("/wants/add/").status_code == 403
    assert as_helper.get("/wants/add/", {"thing": "838"}).context["form"].initial["thing"] == "838"
    assert as_helper.get(f"/wants/{row.pk}/").status_code == 403
    assert as_helper.get("/wants/add/", {"thing": "8\x0038"}).status_code == 200


def test_the_list_asks_no_more_when_it_grows(want, as_keeper):
    for number in range(10):
        want("VT-231", besides=True, note=str(number))
    few = asked(as_keeper, "/wants/")
    for number in range(10):
        want("807", besides=True, note=str(number))
    assert asked(as_keeper, "/wants/") == few


@pytest.mark.parametrize(("first", "again"), [("VT-231", "6SN7GT"), ("VT-231", "CV1988"), ("A knob", "a knob")])
def test_what_is_on_the_list_already_says_so(want, refused, first, again):
    """VT-231, CV1988 and 6SN7GT are one tube: designations.csv."""
    kept = want(first, quantity=2, purpose="spares")
    with refused("besides", "is on the list already"):
        want(again)
    want(again, besides=True)
    settle_want(kept, "bought", by=None)
    want("6V6GT")


@pytest.mark.parametrize(
    ("typed", "price"),
    [("12,50", "12.50"), ("12.5", "12.50"), ("9", "9.00"), ("1234,5", "1234.50"), (",50", "0.50"), ("", None)],
)
def test_prices_as_people_write_them(as_keeper, reference, today, typed, price):
    sent = {"thing": "a knob", "quantity": 1, "since": today, "top_price": typed, "currency": "EUR"}
    assert as_keeper.post("/wants/add/", sent).status_code == 302
    assert Want.objects.get().top_price == (Decimal(price) if price else None)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1,250", "two ways"),
        ("1.250,00", "two ways"),
        ("0", "more than nothing"),
        ("1e3", "in figures"),
        ("a pound", ""),
    ],
)
def test_prices_that_are_not_plain_are_asked_about(as_keeper, reference, today, typed, words):
    sent = {"thing": "a knob", "quantity": 1, "since": today, "top_price": typed, "currency": "EUR"}
    answer = as_keeper.post("/wants/add/", sent)
    assert answer.status_code == 422 and words in answer.context["form"].errors["top_price"][0]
    assert not Want.objects.exists()
